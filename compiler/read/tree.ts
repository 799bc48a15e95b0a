/**
 * The plan's text as a small tree in which every key and value keeps its place.
 *
 * Always holds: spans are offsets into the text as the grower wrote it; keys
 * are unique within a map (a second one is reported and left out); aliases are
 * followed, within limits, so that nothing after this meets them.
 */

import { type Document, isAlias, isMap, isScalar, isSeq, type Node as YamlNode } from 'yaml';
import type { Report } from '../findings/collector.ts';
import type { Span } from '../findings/finding.ts';

export type Node = MapNode | ListNode | ScalarNode;

export interface MapNode {
  readonly kind: 'map';
  readonly span: Span;
  readonly entries: Map<string, Entry>;
}

export interface Entry {
  readonly key: string;
  readonly keySpan: Span;
  readonly value: Node;
}

export interface ListNode {
  readonly kind: 'list';
  readonly span: Span;
  readonly items: readonly Node[];
}

export interface ScalarNode {
  readonly kind: 'scalar';
  readonly span: Span;
  readonly value: string | number | boolean | null;
  /** The text as written, without quotes. */
  readonly source: string;
}

/** Deepest nesting a plan can need is 6; beyond this it is a mistake or a trap. */
const DEPTH_MAX = 40;
/** Most nodes added by following aliases (two years of weekly batches written out have about 2,000). */
const ALIASED_MAX = 20_000;

/** Thrown and caught in this module only: the tree is beyond its limits. */
class BeyondLimits extends Error {
  readonly code: 'text-too-deep' | 'text-copies';
  readonly span: Span;
  constructor(code: 'text-too-deep' | 'text-copies', span: Span) {
    super(code);
    this.code = code;
    this.span = span;
  }
}

/** Builds the tree of a parsed document; undefined when there is no content or it is beyond the limits (reported). */
export function buildTree(
  document: Document.Parsed,
  place: (start: number, end: number) => Span,
  report: Report,
): Node | undefined {
  if (!document.contents) return undefined;
  const builder = new TreeBuilder(place, report);
  try {
    return builder.node(document.contents, 0);
  } catch (error) {
    if (!(error instanceof BeyondLimits)) throw error;
    if (error.code === 'text-copies') report(error.code, error.span, { limit: ALIASED_MAX });
    else report(error.code, error.span, {});
    return undefined;
  }
}

class TreeBuilder {
  private aliased = 0;
  private inAlias = 0;
  private readonly anchors = new Map<string, YamlNode>();
  private readonly place: (start: number, end: number) => Span;
  private readonly report: Report;

  constructor(place: (start: number, end: number) => Span, report: Report) {
    this.place = place;
    this.report = report;
  }

  private span(node: YamlNode): Span {
    const range = node.range;
    return range ? this.place(range[0], range[1]) : this.place(0, 0);
  }

  node(node: YamlNode, depth: number): Node {
    const span = this.span(node);
    if (this.inAlias > 0) this.aliased += 1;
    if (this.aliased > ALIASED_MAX) throw new BeyondLimits('text-copies', span);
    if (depth > DEPTH_MAX) throw new BeyondLimits(this.inAlias > 0 ? 'text-copies' : 'text-too-deep', span);
    if (isAlias(node)) return this.alias(node.source, span, depth);
    if (node.anchor !== undefined && this.inAlias === 0) this.anchors.set(node.anchor, node);
    if (isMap(node)) return this.map(node.items, span, depth);
    if (isSeq(node))
      return { kind: 'list', span, items: node.items.map((item) => this.item(item, span, depth)) };
    return this.scalar(node, span);
  }

  /** An alias refers to the nearest anchor of its name before it. */
  private alias(name: string, span: Span, depth: number): Node {
    const target = this.anchors.get(name);
    if (!target) {
      this.report('text-unreadable', span, { reason: 'BAD_ALIAS' });
      return { kind: 'scalar', span, value: null, source: name };
    }
    this.inAlias += 1;
    const node = this.node(target, depth + 1);
    this.inAlias -= 1;
    return node;
  }

  private item(item: unknown, listSpan: Span, depth: number): Node {
    if (isNode(item)) return this.node(item, depth + 1);
    if (isPairLike(item)) return this.map([item], listSpan, depth);
    return { kind: 'scalar', span: listSpan, value: null, source: '' };
  }

  private scalar(node: YamlNode, span: Span): ScalarNode {
    if (!isScalar(node)) return { kind: 'scalar', span, value: null, source: '' };
    const value = node.value;
    const plain = typeof value === 'string' || typeof value === 'number' || typeof value === 'boolean';
    const source = typeof node.source === 'string' ? node.source : plain ? String(value) : '';
    return { kind: 'scalar', span, value: plain ? value : value === null ? null : source, source };
  }

  private map(items: readonly unknown[], span: Span, depth: number): MapNode {
    const entries = new Map<string, Entry>();
    for (const pair of items) {
      if (isPairLike(pair)) this.entry(pair, entries, span, depth);
    }
    return { kind: 'map', span, entries };
  }

  private entry(pair: PairLike, entries: Map<string, Entry>, mapSpan: Span, depth: number): void {
    const keyNode = isNode(pair.key) ? pair.key : undefined;
    const keySpan = keyNode ? this.span(keyNode) : mapSpan;
    const key = keyNode && isScalar(keyNode) ? this.scalar(keyNode, keySpan).source : undefined;
    if (key === undefined || key === '' || key === '__proto__') {
      this.report('name-not-allowed', keySpan, { name: key ?? '' });
      return;
    }
    const first = entries.get(key);
    if (first) {
      this.report('key-twice', keySpan, { key }, first.keySpan);
      return;
    }
    const value: Node = isNode(pair.value)
      ? this.node(pair.value, depth + 1)
      : { kind: 'scalar', span: keySpan, value: null, source: '' };
    entries.set(key, { key, keySpan, value });
  }
}

interface PairLike {
  readonly key: unknown;
  readonly value: unknown;
}

function isPairLike(value: unknown): value is PairLike {
  return typeof value === 'object' && value !== null && 'key' in value && 'value' in value;
}

function isNode(value: unknown): value is YamlNode {
  return isMap(value) || isSeq(value) || isScalar(value) || isAlias(value);
}

/** The tree as plain values, for the shape to be held against. */
export function plainValue(node: Node): unknown {
  if (node.kind === 'scalar') return node.value;
  if (node.kind === 'list') return node.items.map(plainValue);
  const plain: Record<string, unknown> = {};
  for (const entry of node.entries.values()) plain[entry.key] = plainValue(entry.value);
  return plain;
}

/** Every scalar of the tree, in order. */
export function* scalarsIn(node: Node): Iterable<ScalarNode> {
  if (node.kind === 'map') for (const { value } of node.entries.values()) yield* scalarsIn(value);
  else if (node.kind === 'list') for (const item of node.items) yield* scalarsIn(item);
  else yield node;
}
