import { words } from "./words";

/** What the device is called where a text says `{device}`. */
export const device = words({
  phone: ["this phone", "este teléfono"],
  computer: ["this computer", "esta computadora"],
});
