/** Where a photo itself is, in words. */
import { texts } from "../../../strings/photos";

export const whereWords = {
  "waits here": texts.waitsHere,
  refused: texts.refusedHere,
  "at the office": texts.isAtOffice,
  elsewhere: texts.isElsewhere,
  "not known": texts.isNotKnown,
} as const;
