/** The sheet: one pad to look at, pick from and draw on. Metres of the pad frame; OpenLayers moves it under the hand. */
import Layer from "ol/layer/Layer";
import OlMap, { type FrameState } from "ol/Map";
import type MapBrowserEvent from "ol/MapBrowserEvent";
import Projection from "ol/proj/Projection";
import OlView from "ol/View";
import type { GeometryM, PointM } from "../model/frame";
import type { XY } from "../model/geometry";
import { Buffer } from "./buffer";
import { type Drawing, EMPTY, type Fit, type Picked, type PlanContent, type PlanMark } from "./content";
import { Draft, type Shape } from "./draft";
import { Editing } from "./editing";
import { extentOf, placeOf } from "./extents";
import { Hand } from "./hand";
import { type Inks, inksOf, PRINT } from "./inks";
import { paintLive } from "./live";
import { moving } from "./moving";
import { Nearby } from "./nearby";
import { paintSheet } from "./paint";
import { forgetWidths, Pen } from "./pen";
import { picked } from "./picking";
import type { Reader } from "./scene";
import { caught } from "./snapping";

export interface SheetEvents {
  onpick(picked: Picked | null, at: PointM): void;
  ondrawn(kind: string, geometry: GeometryM): void;
  onedited(id: string, geometry: GeometryM): void;
  ondrawing(drawing: Drawing | null): void;
  onview(): void;
}

/** The nearest and the farthest that a sheet is looked at [m/px]. */
const [NEAREST, FARTHEST] = [0.001, 0.6];
const PADDING_PX = 36;
/** Under the pad stand its dimension line and the margin: in one line of words, or on a large sheet in two. */
const [BELOW_PX, MARGIN_PX] = [48, 44];
/** The length of the left side stands beside it. */
const LEFT_PX = 68;

export class Sheet {
  readonly #map: OlMap;
  readonly #view: OlView;
  readonly #buffer: Buffer;
  readonly #over = document.createElement("canvas");
  readonly #nearby = new Nearby();
  readonly #events: SheetEvents;
  readonly #hand: Hand;
  readonly #watch: MutationObserver;
  readonly #onPaper: () => void;
  readonly #onScreen: () => void;
  #content = EMPTY;
  #reader: Reader;
  #inks: Inks;
  #selected: string | null = null;
  #draft: Draft | null = null;
  #editing: Editing | null = null;
  #isByCross = false;
  #isFinger = false;
  #hasFitted = false;
  #fitted: { readonly what: Fit; readonly resolution: number } | null = null;
  /** What the margin was drawn for, when nothing else lay over the sheet. */
  #overShows = "";

  constructor(target: HTMLElement, reader: Reader, events: SheetEvents) {
    this.#reader = reader;
    this.#events = events;
    this.#inks = inksOf(target);
    const projection = new Projection({ code: "pad", units: "m", extent: [-5000, -5000, 5000, 5000] });
    this.#view = new OlView({
      projection,
      center: [0, 0],
      resolution: 0.1,
      minResolution: NEAREST,
      maxResolution: FARTHEST,
      constrainResolution: false,
      enableRotation: false,
      multiWorld: true,
      showFullExtent: true,
    });
    this.#buffer = new Buffer(
      (context, view, seen) =>
        paintSheet(context, this.#content, this.#nearby, view, this.#inks, this.#reader, {
          without: this.#without,
          seen,
        }),
      () => this.#map.render(),
    );
    Object.assign(this.#over.style, { position: "absolute", inset: "0", width: "100%", height: "100%" });
    this.#hand = new Hand(this.#handler());
    this.#map = new OlMap({
      target,
      view: this.#view,
      controls: [],
      interactions: [...moving(), this.#hand],
      layers: [
        new Layer({ render: (frame: FrameState) => this.#buffer.render(frame) }),
        new Layer({ render: (frame: FrameState) => this.#renderOver(frame) }),
      ],
    });
    this.#map.on("click", (event) => this.#clicked(event));
    this.#map.on("postrender", () => events.onview());
    this.#onPaper = () => this.#ink(PRINT);
    this.#onScreen = () => this.#ink(inksOf(target));
    this.#watch = new MutationObserver(this.#onScreen);
    window.addEventListener("beforeprint", this.#onPaper);
    window.addEventListener("afterprint", this.#onScreen);
    this.#watch.observe(document.documentElement, { attributeFilter: ["data-colours"] });
    void document.fonts?.ready.then(() => {
      forgetWidths();
      this.#again();
    });
  }

  close(): void {
    this.#watch.disconnect();
    window.removeEventListener("beforeprint", this.#onPaper);
    window.removeEventListener("afterprint", this.#onScreen);
    this.#map.setTarget();
    this.#map.dispose();
  }

  // --- what is shown -----------------------------------------------------------------------------

  show(content: PlanContent): void {
    if (content === this.#content) return;
    const isOther = content.pad?.id !== this.#content.pad?.id;
    this.#content = content;
    this.#nearby.take(content.marks);
    this.#editing = this.#editing?.after(content) ?? null;
    this.#again();
    if (isOther || !this.#hasFitted) this.fit("all");
  }

  read(reader: Reader): void {
    this.#reader = reader;
    this.#again();
  }

  select(id: string | null): void {
    this.#selected = id;
    this.#map.render();
  }

  // --- looking -----------------------------------------------------------------------------------

  fit(what: Fit): void {
    const extent = extentOf(this.#content, what);
    const size = this.#map.getSize();
    if (extent === null || !size?.[0] || !size[1]) return;
    this.#hasFitted = true;
    // The pad's sizes stand beside it, the scale and north along the lower edge; a small sheet has little room for either.
    const beside = Math.min(PADDING_PX, Math.round(Math.min(size[0], size[1]) * 0.06));
    const below = beside + (size[1] > 420 ? MARGIN_PX : BELOW_PX);
    this.#view.fit([...extent], {
      size,
      padding: [beside, beside, below, Math.max(beside, LEFT_PX)],
      minResolution: 0.005,
    });
    this.#fitted = { what, resolution: this.#resolution };
    // Words stand where they can be read in what is seen now.
    this.#again();
  }

  /** Nearer by halves, or farther. */
  nearer(by: number): void {
    this.#view.adjustZoom(by);
  }

  screenPointOf(at: PointM): [number, number] | null {
    const pixel = this.#map.getPixelFromCoordinate([...at]);
    return pixel ? [pixel[0] as number, pixel[1] as number] : null;
  }

  /** Where a thing of the sheet is; the middle of what is seen for one that it does not have. */
  placeOf(id: string): PointM {
    return placeOf(this.#content, id) ?? this.#centre;
  }

  /** A sheet that nobody has moved since it was fitted is fitted again; while something is drawn it stays as it is. */
  sizeChanged(): void {
    const before = this.#fitted;
    this.#map.updateSize();
    if (!this.#hasFitted) this.fit("all");
    else if (
      before !== null &&
      this.#draft === null &&
      this.#editing === null &&
      this.#view.getResolution() === before.resolution
    )
      this.fit(before.what);
  }

  /** Paint now what waits for the next frame. */
  renderNow(): void {
    this.#map.renderSync();
  }

  /** The sheet as it is seen, drawn for paper: black ink, so many pixels wide. */
  picture(width_px: number): string {
    const size = this.#map.getSize() ?? [800, 600];
    const [width, height] = [size[0] as number, size[1] as number];
    const canvas = document.createElement("canvas");
    const dense = width_px / width;
    canvas.width = width_px;
    canvas.height = Math.round(height * dense);
    const context = canvas.getContext("2d");
    if (context === null) throw new Error("This browser cannot draw.");
    context.scale(dense, dense);
    context.fillStyle = PRINT.paper;
    context.fillRect(0, 0, width, height);
    const view = { centre_m: this.#centre, resolution: this.#resolution, width_px: width, height_px: height };
    const steps = paintSheet(context, this.#content, this.#nearby, view, PRINT, this.#reader, { hasMargin: true });
    while (!steps.next().done);
    return canvas.toDataURL("image/png");
  }

  // --- drawing -----------------------------------------------------------------------------------

  /** Begin to draw, or go on from points that were put before. */
  draw(kind: string, shape?: Shape, points?: readonly PointM[]): void {
    this.edit(null);
    this.#draft = new Draft(kind, shape, points);
    if (this.#isByCross) this.#aimAt(this.#centre);
    this.#told();
  }

  undoPoint(): void {
    this.#draft?.undo();
    this.#told();
  }

  cancelDrawing(): void {
    this.#draft = null;
    this.#told();
  }

  finishDrawing(): void {
    const draft = this.#draft;
    const geometry = draft?.geometry;
    if (!draft || !geometry) return;
    this.#draft = null;
    this.#told();
    this.#events.ondrawn(draft.kind, geometry);
  }

  /** Aim with a cross in the middle of the sheet, for gloves; or with finger and mouse. */
  aimByCross(isByCross: boolean): void {
    this.#isByCross = isByCross;
    if (this.#draft !== null) this.#draft.aim = null;
    if (isByCross) this.#aimAt(this.#centre);
    this.#told();
  }

  /** Put a point where the cross stands. */
  pointHere(): void {
    this.#aimAt(this.#centre);
    this.#place();
  }

  // --- editing -----------------------------------------------------------------------------------

  edit(id: string | null): void {
    const mark = id === null ? undefined : this.#content.marks.get(id);
    if (mark?.id === this.#editing?.mark.id) return;
    this.#editing = mark === undefined ? null : new Editing(mark);
    this.#again();
  }

  get canRemovePoint(): boolean {
    return this.#editing?.canRemove ?? false;
  }

  removePoint(): void {
    const removed = this.#editing?.remove();
    if (!removed) return;
    this.#map.render();
    this.#events.onedited(removed.id, removed.geometry);
  }

  // --- the hand ----------------------------------------------------------------------------------

  #handler() {
    return {
      down: (at: PointM, isFinger: boolean): boolean => {
        this.#isFinger = isFinger;
        if (this.#draft !== null) {
          if (!isFinger || this.#isByCross) return false;
          this.#aimAt(at);
          return true;
        }
        const isHeld = this.#editing?.take(at, this.#resolution, isFinger) ?? false;
        if (isHeld) this.#map.render();
        return isHeld;
      },
      drag: (at: PointM) => (this.#draft === null ? this.#pull(at) : this.#aimAt(at)),
      up: (at: PointM) => (this.#draft === null ? this.#letGo() : this.#placeAt(at)),
      leave: () => {
        if (this.#draft !== null) this.#draft.aim = null;
        this.#told();
      },
      hover: (at: PointM) => {
        this.#isFinger = false;
        if (this.#draft !== null && !this.#isByCross) this.#aimAt(at);
      },
    };
  }

  #clicked(event: MapBrowserEvent): void {
    const at: PointM = [event.coordinate[0] as number, event.coordinate[1] as number];
    const isFinger = (event.originalEvent as PointerEvent).pointerType !== "mouse";
    if (this.#draft !== null) {
      if (!isFinger && !this.#isByCross) this.#placeAt(at);
      return;
    }
    if (this.#editing !== null || this.#hand.hasJustPlaced) return;
    this.#events.onpick(picked(at, this.#resolution * (isFinger ? 22 : 8), this.#content, this.#nearby), at);
  }

  #aimAt(at: PointM): void {
    const draft = this.#draft;
    if (draft === null) return;
    const start = draft.shape === "Polygon" && draft.canFinish ? draft.points[0] : undefined;
    const found = caught(at, this.#resolution, { content: this.#content, nearby: this.#nearby, start });
    draft.aim = found?.at ?? at;
    draft.caught = found?.by ?? null;
    this.#told();
  }

  #placeAt(at: PointM): void {
    if (this.#hand.isTwice) {
      if (this.#draft?.canFinish) this.finishDrawing();
      return;
    }
    this.#aimAt(at);
    this.#place();
  }

  #place(): void {
    const draft = this.#draft;
    if (draft?.aim == null) return;
    const isDone = draft.add(draft.aim);
    if (!this.#isByCross) draft.aim = null;
    if (isDone) this.finishDrawing();
    else this.#told();
  }

  #pull(at: PointM): void {
    this.#editing?.pull(at, this.#resolution, { content: this.#content, nearby: this.#nearby });
    this.#map.render();
  }

  #letGo(): void {
    const changed = this.#editing?.letGo();
    this.#map.render();
    if (changed) this.#events.onedited(changed.id, changed.geometry);
  }

  #told(): void {
    this.#events.ondrawing(this.#draft?.state ?? null);
    this.#map.render();
  }

  // --- frames ------------------------------------------------------------------------------------

  get #resolution(): number {
    return this.#view.getResolution() ?? 0.1;
  }

  get #centre(): XY {
    const [x = 0, y = 0] = this.#view.getCenter() ?? [];
    return [x, y];
  }

  get #without(): ReadonlySet<string> {
    return new Set(this.#editing === null ? [] : [this.#editing.mark.id]);
  }

  /** Draw with other inks, before the page is printed at once. */
  #ink(inks: Inks): void {
    this.#inks = inks;
    this.#again();
    this.#map.renderSync();
  }

  #again(): void {
    this.#overShows = "";
    this.#buffer.spoil();
    this.#map.render();
  }

  #renderOver(frame: FrameState): HTMLElement {
    const [width, height] = frame.size as [number, number];
    const dense = Math.min(frame.pixelRatio, 2);
    const [w, h] = [Math.round(width * dense), Math.round(height * dense)];
    if (this.#over.width !== w || this.#over.height !== h) [this.#over.width, this.#over.height] = [w, h];
    // While the sheet is only moved nothing that lies over it changes.
    const isStill = this.#selected === null && this.#draft === null && this.#editing === null;
    const asBefore = `${frame.viewState.resolution} ${w} ${h}`;
    if (isStill && asBefore === this.#overShows) return this.#over;
    this.#overShows = isStill ? asBefore : "";
    const context = this.#over.getContext("2d");
    if (context === null) return this.#over;
    context.setTransform(dense, 0, 0, dense, 0, 0);
    context.clearRect(0, 0, width, height);
    const { center, resolution } = frame.viewState;
    const centre: XY = [center[0] as number, center[1] as number];
    if (this.#isByCross && this.#draft !== null) this.#aimSilently(centre, resolution);
    const pen = new Pen(context, this.#inks, { centre_m: centre, resolution, width_px: width, height_px: height });
    const chosen: PlanMark | null = this.#selected === null ? null : (this.#content.marks.get(this.#selected) ?? null);
    paintLive(
      pen,
      {
        content: this.#content,
        nearby: this.#nearby,
        chosen,
        chosenAt: this.#selected === null ? null : placeOf(this.#content, this.#selected),
        edited: this.#editing?.mark ?? null,
        heldPoint: this.#editing?.heldPoint ?? null,
        draft: this.#draft,
        isByCross: this.#isByCross,
        isFinger: this.#isFinger,
      },
      this.#reader,
    );
    return this.#over;
  }

  /** While the sheet moves under the cross, the point goes along. */
  #aimSilently(at: XY, resolution: number): void {
    const draft = this.#draft;
    if (draft === null) return;
    const start = draft.shape === "Polygon" && draft.canFinish ? draft.points[0] : undefined;
    const found = caught(at, resolution, { content: this.#content, nearby: this.#nearby, start });
    draft.aim = found?.at ?? at;
    draft.caught = found?.by ?? null;
  }
}
