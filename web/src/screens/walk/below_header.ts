/** Keeps `--top`, how far down a screen begins: the header grows and shrinks with what it has to say. */
import type { Attachment } from "svelte/attachments";

export const belowHeader: Attachment<HTMLElement> = (element) => {
  const set = () => element.style.setProperty("--top", `${element.getBoundingClientRect().top + scrollY}px`);
  const sizes = new ResizeObserver(set);
  const header = document.querySelector("header");
  if (header !== null) sizes.observe(header);
  set();
  return () => sizes.disconnect();
};
