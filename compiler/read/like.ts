/**
 * `like: NAME` copies an entry of the same kind; given keys override.
 *
 * Always holds: afterwards no entry says `like`; copied values are the very
 * same nodes, so a fault in one is found and told once.
 */

import type { Report } from '../findings/collector.ts';
import { closest } from '../findings/nearest.ts';
import type { Entry, MapNode, Node } from './tree.ts';

/** Sections whose entries may copy one another. */
const SECTIONS = [
  'controllers',
  'shelves',
  'zones',
  'fixtures',
  'lamps',
  'screens',
  'background',
  'bags',
  'batches',
];

/**
 * Replaces every entry that says `like` by the merged one, in place.
 * @returns the entry each merged one was copied from.
 */
export function expandLike(root: MapNode, report: Report): Map<Node, MapNode> {
  const bases = new Map<Node, MapNode>();
  for (const name of SECTIONS) {
    const section = root.entries.get(name)?.value;
    if (section?.kind === 'map') new Section(section, name, bases, report).expand();
  }
  return bases;
}

class Section {
  private readonly underway = new Set<string>();
  private readonly section: MapNode;
  private readonly what: string;
  private readonly bases: Map<Node, MapNode>;
  private readonly report: Report;

  constructor(section: MapNode, what: string, bases: Map<Node, MapNode>, report: Report) {
    this.section = section;
    this.what = what;
    this.bases = bases;
    this.report = report;
  }

  expand(): void {
    for (const name of [...this.section.entries.keys()]) this.merged(name);
  }

  private merged(name: string): MapNode | undefined {
    const entry = this.section.entries.get(name);
    if (entry?.value.kind !== 'map') return undefined;
    const own = entry.value;
    const wanted = own.entries.get('like');
    if (wanted?.value.kind !== 'scalar' || wanted.value.value === null) return own;
    this.underway.add(name);
    const base = this.base(wanted, wanted.value.source);
    this.underway.delete(name);
    const merged = merge(base, own);
    this.bases.set(merged, base ?? { kind: 'map', span: own.span, entries: new Map() });
    this.section.entries.set(name, { ...entry, value: merged });
    return merged;
  }

  private base(wanted: Entry, name: string): MapNode | undefined {
    if (this.underway.has(name)) {
      this.report('name-circle', wanted.value.span, { name });
      return undefined;
    }
    if (!this.section.entries.has(name)) {
      const known = [...this.section.entries.keys()].filter((key) => !this.underway.has(key));
      this.report('name-unknown', wanted.value.span, {
        kind: this.what,
        name,
        known,
        meant: closest(name, known),
      });
      return undefined;
    }
    return this.merged(name);
  }
}

/** Without a base (already reported) the entry keeps no `like`, and what it misses is not told again. */
function merge(base: MapNode | undefined, own: MapNode): MapNode {
  const entries = new Map(base?.entries ?? []);
  for (const [key, entry] of own.entries) if (key !== 'like') entries.set(key, entry);
  return { kind: 'map', span: own.span, entries };
}
