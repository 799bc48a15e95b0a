/**
 * What the plan's JSON Schema says of a place: which keys, which words, what
 * it is for.
 */

import schema from '../../../shared/plan.schema.json' with { type: 'json' };

/** As much of JSON Schema as ours uses. */
interface Schema {
  readonly type?: string | readonly string[];
  readonly description?: string;
  readonly examples?: readonly (string | number)[];
  readonly enum?: readonly string[];
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly required?: readonly string[];
  readonly additionalProperties?: boolean | Schema;
  readonly items?: Schema | readonly Schema[];
  readonly anyOf?: readonly Schema[];
}

/** A key that may stand in a map. */
export interface KnownKey {
  readonly key: string;
  readonly description: string;
  /** What is to be typed after the colon: an example, or nothing. */
  readonly example: string;
  /** Its value is a map or a list. */
  readonly isGroup: boolean;
}

/** What the schema says of the value at a path, all its alternatives. */
function schemasAt(path: readonly string[]): Schema[] {
  return path
    .reduce<Schema[]>((all, step) => all.flatMap((one) => stepInto(one, step)), [schema as Schema])
    .flatMap(branches);
}

/** The alternatives of a schema; those that only say what is required are none. */
function branches(one: Schema): Schema[] {
  const others = (one.anyOf ?? []).filter((other) => other.type !== undefined || other.enum || other.anyOf);
  return others.length > 0 ? others.flatMap(branches) : [one];
}

function stepInto(one: Schema, step: string): Schema[] {
  return branches(one).flatMap((branch) => {
    const own =
      branch.properties && Object.hasOwn(branch.properties, step) ? branch.properties[step] : undefined;
    if (own) return [own];
    if (typeof branch.additionalProperties === 'object') return [branch.additionalProperties];
    const { items } = branch;
    if (items === undefined || !/^\d+$/.test(step)) return [];
    if (!isTuple(items)) return [items];
    const item = items[Number(step)];
    return item ? [item] : [];
  });
}

const isTuple = (items: Schema | readonly Schema[]): items is readonly Schema[] => Array.isArray(items);

/** The keys that may stand in the map at a path. */
export function keysIn(path: readonly string[]): KnownKey[] {
  return schemasAt(path).flatMap(({ properties = {} }) =>
    Object.entries(properties).map(([key, value]) => {
      const all = branches(value);
      return {
        key,
        description: value.description ?? '',
        example: String(all.flatMap(({ examples = [] }) => examples)[0] ?? ''),
        isGroup: all.some(({ type }) => type === 'object' || type === 'array'),
      };
    }),
  );
}

/** Words and examples that may stand as the value at a path. */
export function valuesAt(path: readonly string[]): string[] {
  return schemasAt(path).flatMap(({ enum: words, examples = [], type }) =>
    type === 'boolean' ? ['true', 'false'] : (words ?? examples.map(String)),
  );
}

/** What a key is for; undefined where the schema does not know it. */
export function descriptionOf(path: readonly string[]): string | undefined {
  const parent = schemasAt(path.slice(0, -1));
  const last = path.at(-1) ?? '';
  const own = parent
    .flatMap((one) => stepInto(one, last))
    .find(({ description }) => description !== undefined);
  return own?.description;
}

/** The sections whose names a value may be, by its key. */
const NAMES: Readonly<Record<string, string>> = {
  shelf: 'shelves',
  beside: 'zones',
  zones: 'zones',
  help: 'zones',
  fixture: 'fixtures',
  bag: 'bags',
  regime: 'regimes',
};

/** The section whose names may stand as the value at a path; undefined where none. */
export function sectionNamedAt(path: readonly string[]): string | undefined {
  const key = [...path].reverse().find((step) => !/^\d+$/.test(step)) ?? '';
  // `like` copies an entry of its own section.
  return key === 'like' ? path[0] : NAMES[key];
}
