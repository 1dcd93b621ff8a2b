import "./styles/base.css";
import { mount } from "svelte";
import OwnersPage from "./screens/offer/OwnersPage.svelte";

const target = document.getElementById("app");
if (target !== null) mount(OwnersPage, { target });
