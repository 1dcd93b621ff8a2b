import "./styles/base.css";
import { mount } from "svelte";
import App from "./App.svelte";
import { release } from "./state/release.svelte";
import { sync } from "./state/sync.svelte";

const target = document.getElementById("app");
if (target !== null) mount(App, { target });
sync.start();
if (import.meta.env.PROD) void release.start();
