/** What somebody typed and what somebody else has kept meanwhile, brought together field by field. */

export interface Together<Value> {
  /** What is to stand in the fields: what was typed, and else what is kept now. */
  readonly typed: Readonly<Record<string, Value>>;
  /** The fields that are kept otherwise than before. */
  readonly changed: readonly string[];
  /** Those of them in which something else was typed: it stands, and is not what is kept. */
  readonly both: readonly string[];
}

type Fields<Value> = Readonly<Partial<Record<string, Value>>>;

/** Bring `typed`, which began from `before`, together with what is kept `now`; a field that is missing is `empty`. */
export function together<Value>(
  before: Fields<Value>,
  now: Fields<Value>,
  typed: Fields<Value>,
  empty: Value,
  isSame: (one: Value, other: Value) => boolean,
): Together<Value> {
  const names = [...new Set([before, now, typed].flatMap((fields) => Object.keys(fields)))];
  const of = (fields: Fields<Value>, name: string) => fields[name] ?? empty;
  const differ = (one: Fields<Value>, other: Fields<Value>) => (name: string) =>
    !isSame(of(one, name), of(other, name));
  const isTyped = differ(typed, before);
  const changed = names.filter(differ(now, before));
  return {
    typed: Object.fromEntries(names.map((name) => [name, of(isTyped(name) ? typed : now, name)])),
    changed,
    both: changed.filter(isTyped).filter(differ(typed, now)),
  };
}
