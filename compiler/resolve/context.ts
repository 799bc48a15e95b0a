/**
 * What every resolver works with: the tree, what is broken in it, the names it
 * holds, the defaults taken, and readers for each kind of value.
 *
 * Always holds: a reader gives undefined for what is absent or broken and
 * reports nothing, for a broken value has been told already.
 */

import type { Board } from '../../shared/board.ts';
import { dayFromIso } from '../../shared/civil.ts';
import type { Units } from '../../shared/measures.ts';
import type { CivilDay, Degrees, Millimetres, Minutes } from '../../shared/units.ts';
import { degrees, millimetres, minutes } from '../../shared/units.ts';
import type { Report } from '../findings/collector.ts';
import type { QuantityKind } from '../findings/facts.ts';
import type { Span } from '../findings/finding.ts';
import { closest } from '../findings/nearest.ts';
import type { Assumption } from '../plan/plan.ts';
import { azimuthOf, daysOf, shareOf } from '../read/leaf.ts';
import { parseTime, parseWeekday } from '../read/moment.ts';
import { parseQuantity } from '../read/quantity.ts';
import type { Entry, MapNode, Node } from '../read/tree.ts';

/** A named entry of a section, healthy enough to look into. */
export interface NamedEntry {
  readonly name: string;
  readonly keySpan: Span;
  readonly map: MapNode;
}

export class Context {
  readonly root: MapNode;
  readonly boards: Readonly<Record<string, Board>>;
  /** The units the plan is written in: those in which defaults are told. */
  readonly units: Units;
  readonly report: Report;
  readonly assumed: Assumption[] = [];
  private readonly broken: ReadonlySet<Node>;

  constructor(
    root: MapNode,
    broken: ReadonlySet<Node>,
    boards: Readonly<Record<string, Board>>,
    units: Units,
    report: Report,
  ) {
    this.root = root;
    this.broken = broken;
    this.boards = boards;
    this.units = units;
    this.report = report;
  }

  /** Notes a value the plan left to a default. */
  assume(path: string, value: string, confidence: Assumption['confidence'], because: string): void {
    this.assumed.push({ path, value, confidence, because });
  }

  /** A default as it is told in the units of the plan. */
  told({ text, us }: { readonly text: string; readonly us?: string }): string {
    return this.units === 'us' ? (us ?? text) : text;
  }

  /** True when the grower wrote something under the key, healthy or not. */
  has(map: MapNode | undefined, key: string): boolean {
    return map?.entries.has(key) ?? false;
  }

  /** The healthy node under a key. */
  node(map: MapNode | undefined, key: string): Node | undefined {
    const value = map?.entries.get(key)?.value;
    return value && !this.broken.has(value) ? value : undefined;
  }

  /** Where the value under a key stands, or the map itself. */
  spanOf(map: MapNode, key: string): Span {
    return map.entries.get(key)?.value.span ?? map.span;
  }

  keySpan(map: MapNode, key: string): Span {
    return map.entries.get(key)?.keySpan ?? map.span;
  }

  map(map: MapNode | undefined, key: string): MapNode | undefined {
    const value = this.node(map, key);
    return value?.kind === 'map' ? value : undefined;
  }

  /** The items of a list; a broken item is undefined. */
  list(map: MapNode | undefined, key: string): readonly (Node | undefined)[] | undefined {
    return this.items(this.node(map, key));
  }

  items(node: Node | undefined): readonly (Node | undefined)[] | undefined {
    if (node?.kind !== 'list' || this.broken.has(node)) return undefined;
    return node.items.map((item) => (this.broken.has(item) ? undefined : item));
  }

  /** All entries of a section of named entries. */
  section(name: string): readonly NamedEntry[] {
    return this.namedEntries(this.map(this.root, name));
  }

  /** Names of a section, broken entries included. */
  names(section: string): readonly string[] {
    return [...(this.map(this.root, section)?.entries.keys() ?? [])];
  }

  namedEntries(map: MapNode | undefined): readonly NamedEntry[] {
    const entries: Entry[] = [...(map?.entries.values() ?? [])];
    return entries.map(({ key, keySpan, value }) => ({
      name: key,
      keySpan,
      map:
        value.kind === 'map' && !this.broken.has(value)
          ? value
          : { kind: 'map', span: value.span, entries: new Map() },
    }));
  }

  /** Position of a name within its section; an unknown name is reported. Undefined too where the section is unreadable. */
  index(section: string, node: Node | undefined): number | undefined {
    const name = this.source(node);
    if (name === undefined || node === undefined) return undefined;
    const known = this.names(section);
    const index = known.indexOf(name);
    if (index >= 0) return index;
    if (known.length > 0) this.unknown(section, name, node.span, known);
    return undefined;
  }

  unknown(kind: string, name: string, span: Span, known: readonly string[]): void {
    this.report('name-unknown', span, { kind, name, known: [...known], meant: closest(name, known) });
  }

  source(node: Node | undefined): string | undefined {
    return node?.kind === 'scalar' && node.value !== null && !this.broken.has(node) ? node.source : undefined;
  }

  text(map: MapNode | undefined, key: string): string | undefined {
    return this.source(this.node(map, key));
  }

  number(map: MapNode | undefined, key: string): number | undefined {
    return this.numberOf(this.node(map, key));
  }

  numberOf(node: Node | undefined): number | undefined {
    return node?.kind === 'scalar' && typeof node.value === 'number' ? node.value : undefined;
  }

  yes(map: MapNode | undefined, key: string): boolean | undefined {
    const node = this.node(map, key);
    return node?.kind === 'scalar' ? node.value === true || node.value === 'yes' : undefined;
  }

  quantity(map: MapNode | undefined, key: string, kind: QuantityKind): number | undefined {
    return this.quantityOf(this.node(map, key), kind);
  }

  quantityOf(node: Node | undefined, kind: QuantityKind): number | undefined {
    const text = this.source(node);
    if (text === undefined) return undefined;
    const result = parseQuantity(text, kind);
    return 'fault' in result ? undefined : result.value;
  }

  share(map: MapNode | undefined, key: string): number | undefined {
    const text = this.text(map, key);
    return text === undefined ? undefined : shareOf(/^[-+.\d]+$/.test(text) ? Number(text) : text);
  }

  lengthOf(node: Node | undefined): Millimetres | undefined {
    const value = this.quantityOf(node, 'length');
    return value === undefined ? undefined : millimetres(value);
  }

  length(map: MapNode | undefined, key: string): Millimetres | undefined {
    return this.lengthOf(this.node(map, key));
  }

  /** A list of exactly `count` values, all healthy. */
  tuple<T>(
    node: Node | undefined,
    count: number,
    read: (item: Node | undefined) => T | undefined,
  ): T[] | undefined {
    const items = this.items(node);
    if (items?.length !== count) return undefined;
    const values = items.map(read).filter((value) => value !== undefined);
    return values.length === count ? values : undefined;
  }

  pair<T>(
    map: MapNode | undefined,
    key: string,
    read: (item: Node | undefined) => T | undefined,
  ): readonly [T, T] | undefined {
    const [first, second] = this.tuple(this.node(map, key), 2, read) ?? [];
    return first === undefined || second === undefined ? undefined : [first, second];
  }

  timeOf(node: Node | undefined): Minutes | undefined {
    const text = this.source(node);
    const value = text === undefined ? undefined : parseTime(text);
    return value === undefined ? undefined : minutes(value);
  }

  time(map: MapNode | undefined, key: string): Minutes | undefined {
    return this.timeOf(this.node(map, key));
  }

  dateOf(node: Node | undefined): CivilDay | undefined {
    const text = this.source(node);
    return text === undefined ? undefined : dayFromIso(text);
  }

  date(map: MapNode | undefined, key: string): CivilDay | undefined {
    return this.dateOf(this.node(map, key));
  }

  sideOf(node: Node | undefined): Degrees | undefined {
    const text = this.source(node);
    const value = text === undefined ? undefined : azimuthOf(text);
    return value === undefined ? undefined : degrees(value);
  }

  /** Whole days written as `28`, `28 d` or `4 wk`. */
  days(map: MapNode | undefined, key: string): number | undefined {
    const text = this.text(map, key);
    return text === undefined ? undefined : daysOf(/^[\d.]+$/.test(text) ? Number(text) : text);
  }

  weekdays(map: MapNode | undefined, key: string): readonly number[] | undefined {
    const items = this.list(map, key);
    const days = items
      ?.map((item) => parseWeekday(this.source(item) ?? ''))
      .filter((day) => day !== undefined);
    return days && [...new Set(days)].sort((a, b) => a - b);
  }
}
