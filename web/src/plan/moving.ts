/** How a sheet is moved: dragged, pinched, with the wheel, with the keys. It stands still at once when it is let go. */
import DragPan from "ol/interaction/DragPan";
import type Interaction from "ol/interaction/Interaction";
import KeyboardPan from "ol/interaction/KeyboardPan";
import KeyboardZoom from "ol/interaction/KeyboardZoom";
import MouseWheelZoom from "ol/interaction/MouseWheelZoom";
import PinchZoom from "ol/interaction/PinchZoom";

export function moving(): Interaction[] {
  return [
    new DragPan(),
    new PinchZoom({ duration: 0 }),
    new MouseWheelZoom({ duration: 0 }),
    new KeyboardPan({ duration: 0, pixelDelta: 96 }),
    new KeyboardZoom({ duration: 0, delta: 0.5 }),
  ];
}
