/** Drawing a PDF on canvases. No code of the file is run, and nothing of it needs WebAssembly: its pictures are JPEG. */
import workerFile from "pdfjs-dist/build/pdf.worker.min.mjs?url";

/** Sharper than so many dots a CSS pixel nobody sees, and a phone's memory is small. */
const SHARPEST = 2;
const MOST_WIDE_PX = 1600;

export interface Drawing {
  /** How many pages there are, once all are drawn. */
  readonly done: Promise<number>;
  stop(): void;
}

/** Draw every page into a place, one under the other; what was there goes. */
export function drawPages(pdf: Uint8Array, place: HTMLElement, named: (page: number, of: number) => string): Drawing {
  let isStopped = false;
  const draw = async (): Promise<number> => {
    const { getDocument, GlobalWorkerOptions } = await import("pdfjs-dist");
    GlobalWorkerOptions.workerSrc = workerFile;
    // The worker takes the bytes away: it is given its own.
    const task = getDocument({ data: pdf.slice(), useWasm: false });
    try {
      const document = await task.promise;
      place.replaceChildren();
      for (let number = 1; number <= document.numPages && !isStopped; number += 1) {
        const page = await document.getPage(number);
        const canvas = window.document.createElement("canvas");
        canvas.setAttribute("role", "img");
        canvas.setAttribute("aria-label", named(number, document.numPages));
        const { width } = page.getViewport({ scale: 1 });
        const wide = Math.min(place.clientWidth * Math.min(devicePixelRatio, SHARPEST), MOST_WIDE_PX);
        const viewport = page.getViewport({ scale: wide / width });
        canvas.width = Math.floor(viewport.width);
        canvas.height = Math.floor(viewport.height);
        place.append(canvas);
        await page.render({ canvas, viewport }).promise;
      }
      return document.numPages;
    } finally {
      await task.destroy();
    }
  };
  return {
    done: draw(),
    stop: () => {
      isStopped = true;
    },
  };
}
