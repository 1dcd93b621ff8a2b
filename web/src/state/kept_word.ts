/** A choice that this device keeps by a name, beside the walks. */
import { phone } from "../sync/phone";

export async function keptWord<Value>(name: string): Promise<Value | undefined> {
  return (await phone()).get("words", name) as Promise<Value | undefined>;
}

export async function keepWord(name: string, value: unknown): Promise<void> {
  await (await phone()).put("words", value, name);
}
