/**
 * Holds the tree against the schema and says what does not fit, key by key.
 *
 * Always holds: a value that does not fit is marked broken, so that later
 * checks leave it alone and the healthy rest is still checked; a misspelt key
 * is reported once and then read as the key that was meant.
 */

import type * as z from 'zod';
import { unitIn } from '../../shared/measures.ts';
import type { Report } from '../findings/collector.ts';
import type { FactsOf, Found, QuantityKind } from '../findings/facts.ts';
import type { Span } from '../findings/finding.ts';
import { closest } from '../findings/nearest.ts';
import { expectationIn, type LeafCode, type LeafFault, suggestedUnit } from './leaf.ts';
import { unitOf } from './quantity.ts';
import { planSchema } from './schema.ts';
import { keysAt } from './schema-keys.ts';
import { type Entry, type MapNode, type Node, plainValue, scalarsIn } from './tree.ts';
import { unitsOfPlan } from './units.ts';

type Path = readonly PropertyKey[];

/** What the shape pass leaves behind. */
export interface Shape {
  readonly broken: ReadonlySet<Node>;
}

/** Kinds that metric and US plans write in different units. */
const TWO_SYSTEMS: readonly QuantityKind[] = ['length', 'mass', 'temperature'];

/** Passes over the tree: one, and one more for each layer of misspelt keys put right. */
const PASSES_MAX = 4;

/**
 * Checks the shape of the whole tree.
 * @param bases the entry each `like:` entry was copied from
 */
export function checkShape(root: MapNode, bases: ReadonlyMap<Node, MapNode>, report: Report): Shape {
  const pass = new ShapePass(root, bases, report);
  for (let i = 0; i < PASSES_MAX; i++) if (!pass.run()) break;
  return { broken: pass.broken };
}

class ShapePass {
  readonly broken = new Set<Node>();
  private readonly root: MapNode;
  private readonly bases: ReadonlyMap<Node, MapNode>;
  private readonly report: Report;

  constructor(root: MapNode, bases: ReadonlyMap<Node, MapNode>, report: Report) {
    this.root = root;
    this.bases = bases;
    this.report = report;
  }

  /** One pass; true when a misspelt key was put right and another pass is due. */
  run(): boolean {
    // Compiled checks pay off only from the second plan on, and browsers may forbid them.
    const result = planSchema.safeParse(plainValue(this.root), { jitless: true });
    if (result.success) return false;
    const issues = result.error.issues.flatMap((issue) => flatten(issue, []));
    const unknown = issues.filter((issue) => issue.code === 'unrecognized_keys');
    let healed = false;
    for (const issue of unknown) healed = this.unknownKeys(issue.path, issue.keys ?? []) || healed;
    if (healed) return true;
    for (const issue of issues) if (issue.code !== 'unrecognized_keys') this.one(issue);
    return false;
  }

  private unknownKeys(path: Path, keys: readonly string[]): boolean {
    const found = nodeAt(this.root, path);
    if (found?.kind !== 'map') return false;
    let healed = false;
    for (const key of keys) healed = this.unknownKey(found, path, key) || healed;
    return healed;
  }

  private unknownKey(map: MapNode, path: Path, key: string): boolean {
    const entry = map.entries.get(key);
    if (!entry) return false;
    const known = keysAt(path);
    const free = known.filter((name) => !map.entries.has(name));
    map.entries.delete(key);
    if (this.missingColon(map, entry, free)) return true;
    const meant = closest(key, free);
    const belongs = meant === undefined && path.length === 0 ? this.moveUnder(map, entry) : undefined;
    const facts = {
      key,
      where: pathText(path),
      meant: meant ?? closest(key, known),
      belongs,
      known: [...known],
    };
    this.report('key-unknown', entry.keySpan, facts);
    if (meant !== undefined) map.entries.set(meant, { ...entry, key: meant });
    return true;
  }

  /** `flux 350 lm` as a key without a value: the colon is missing. */
  private missingColon(map: MapNode, entry: Entry, free: readonly string[]): boolean {
    const [, key = '', source = ''] = /^(\S+)\s+(.+)$/.exec(entry.key) ?? [];
    if (entry.value.kind !== 'scalar' || entry.value.value !== null || !free.includes(key)) return false;
    const end = entry.keySpan.start + key.length;
    this.report('text-colon-missing', { start: entry.keySpan.start, end }, { key });
    const value = /^\d+$/.test(source) ? Number(source) : source;
    map.entries.set(key, { ...entry, key, value: { ...entry.value, value, source } });
    return true;
  }

  /** A key at the left edge that belongs into a section is moved there. */
  private moveUnder(root: MapNode, entry: Entry): string | undefined {
    const section = keysAt([]).find((name) => keysAt([name]).includes(entry.key));
    if (section === undefined) return undefined;
    const there = root.entries.get(section)?.value;
    if (there?.kind === 'map') there.entries.set(entry.key, entry);
    else if (!there) {
      const value: MapNode = { kind: 'map', span: entry.keySpan, entries: new Map([[entry.key, entry]]) };
      root.entries.set(section, { key: section, keySpan: entry.keySpan, value });
    }
    return section;
  }

  private one(issue: FlatIssue): void {
    const node = nodeAt(this.root, issue.path);
    if (!node) this.missing(issue);
    else {
      this.broken.add(node);
      this.misfit(issue, node);
    }
  }

  private missing(issue: FlatIssue): void {
    const key = String(issue.path.at(-1) ?? '');
    const parent = nodeAt(this.root, issue.path.slice(0, -1));
    if (parent?.kind !== 'map') return;
    const base = this.bases.get(parent);
    if (base && !base.entries.has(key)) return;
    const where = pathText(issue.path.slice(0, -1));
    const example = expectationIn(issue.message)?.example;
    this.report('key-missing', this.entrySpan(issue.path.slice(0, -1), parent), {
      key,
      where,
      example,
    });
  }

  /** The key of the entry at a path (better to point at than a whole block), or the first key of the plan. */
  private entrySpan(path: Path, node: MapNode): Span {
    const parent = path.length > 0 ? nodeAt(this.root, path.slice(0, -1)) : undefined;
    if (parent?.kind === 'map') return parent.entries.get(String(path.at(-1)))?.keySpan ?? node.span;
    return [...node.entries.values()][0]?.keySpan ?? node.span;
  }

  private misfit(issue: FlatIssue, node: Node): void {
    if (issue.fault) {
      this.leafFault(issue.fault, node.span, lastKey(issue.path));
      return;
    }
    const expected = expectationIn(issue.message);
    const key = lastKey(issue.path);
    if (!expected) {
      this.report('value-kind', node.span, { key, expects: 'something-else', found: describe(node) });
    } else if (expected.words && node.kind === 'scalar' && node.value !== null) {
      this.report('value-unknown-word', node.span, { key, text: node.source, words: [...expected.words] });
    } else if (expected.kind && node.kind === 'scalar' && typeof node.value === 'number') {
      const { expects, example, kind } = expected;
      const facts = {
        expects,
        example,
        number: node.source,
        unit: this.usualUnit(kind, node) ?? this.spoken(suggestedUnit(example, kind)),
      };
      this.report('unit-missing', node.span, { key, ...facts });
    } else {
      const { expects, example } = expected;
      this.report('value-kind', node.span, { key, expects, example, found: describe(node) });
    }
  }

  private leafFault<C extends LeafCode>(
    fault: { code: C; facts: FactsOf[C] },
    span: Span,
    key: string,
  ): void {
    const { facts } = fault;
    const spoken = 'number' in facts ? { unit: this.spoken(facts.unit) } : {};
    this.report(fault.code, span, { ...facts, ...spoken, key });
  }

  /** A unit of an example in the system of the plan. */
  private spoken(unit: string): string {
    return unitIn(unit, unitsOfPlan(this.root));
  }

  /** The unit of the nearest quantity of the same kind in the plan: what the grower most likely means. */
  private usualUnit(kind: QuantityKind, at: Node): string | undefined {
    if (!TWO_SYSTEMS.includes(kind)) return undefined;
    let best: { unit: string; far: number } | undefined;
    for (const { value, span } of scalarsIn(this.root)) {
      const unit = typeof value === 'string' ? unitOf(value, kind) : undefined;
      const far = Math.abs(span.start - at.span.start);
      if (unit !== undefined && (!best || far < best.far)) best = { unit, far };
    }
    return best?.unit;
  }
}

interface FlatIssue {
  readonly code: string;
  readonly path: Path;
  readonly message: string;
  readonly keys?: readonly string[];
  readonly fault?: LeafFault;
}

/** An issue as a list without unions: of a union's branches, the one that fits best speaks. */
function flatten(issue: z.core.$ZodIssue, prefix: Path): FlatIssue[] {
  const path = [...prefix, ...issue.path];
  const base = { code: issue.code, path, message: issue.message };
  if (issue.code === 'unrecognized_keys') return [{ ...base, keys: issue.keys }];
  if (issue.code === 'custom') return [{ ...base, fault: faultOf(issue.params) }];
  if (issue.code !== 'invalid_union' || expectationIn(issue.message)) return [base];
  const branches = issue.errors.map((errors) => errors.flatMap((error) => flatten(error, path)));
  branches.sort((a, b) => misfitOf(a, path) - misfitOf(b, path));
  return branches[0] ?? [base];
}

function faultOf(params: Record<string, unknown> | undefined): LeafFault {
  return params as unknown as LeafFault;
}

/** How badly a union's branch fits: a wrong kind of value at its root is worst. */
function misfitOf(issues: readonly FlatIssue[], root: Path): number {
  let worst = issues.length;
  for (const issue of issues) {
    if (issue.path.length === root.length && issue.code !== 'unrecognized_keys' && !issue.fault)
      worst += 1000;
    if (issue.code === 'unrecognized_keys') worst += 10;
  }
  return worst;
}

function nodeAt(root: Node, path: Path): Node | undefined {
  let node: Node | undefined = root;
  for (const step of path) {
    if (node?.kind === 'map') node = node.entries.get(String(step))?.value;
    else if (node?.kind === 'list') node = node.items[Number(step)];
    else return undefined;
  }
  return node;
}

function lastKey(path: Path): string {
  const keys = path.filter((step) => typeof step === 'string');
  return String(keys.at(-1) ?? '');
}

/** `lamps.front` of a path; list positions count from 1. */
function pathText(path: Path): string {
  return path.map((step) => (typeof step === 'number' ? `${step + 1}` : String(step))).join('.');
}

function describe(node: Node): Found {
  if (node.kind === 'list') return { kind: 'list', count: node.items.length };
  if (node.kind === 'map') return { kind: 'group' };
  return node.value === null ? { kind: 'nothing' } : { kind: 'value', written: node.source };
}
