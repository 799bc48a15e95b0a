/**
 * Small faults put into a source on purpose: another operator, a turned
 * condition, a number more, a call left out. A test that means something fails
 * on nearly every one of them.
 *
 * Always holds: types are left alone; the mutants of a text are the same each time.
 */

import { parse } from '@babel/parser';

/** One fault: the text from `start` to `end` becomes `by`. */
export interface Mutant {
  readonly start: number;
  readonly end: number;
  readonly by: string;
  readonly line: number;
}

const OPERATORS: Readonly<Record<string, string>> = {
  ...{ '<': '<=', '<=': '<', '>': '>=', '>=': '>', '===': '!==', '!==': '===', '&&': '||', '||': '&&' },
  ...{
    '+': '-',
    '-': '+',
    '*': '/',
    '/': '*',
    '%': '*',
    '<<': '>>',
    '>>>': '<<',
    '>>': '<<',
    '&': '|',
    '|': '&',
  },
  ...{ '+=': '-=', '-=': '+=', '|=': '&=' },
};

interface Node {
  readonly type: string;
  readonly start: number;
  readonly end: number;
  readonly loc: { readonly start: { readonly line: number } };
  readonly [key: string]: unknown;
}

const isNode = (value: unknown): value is Node =>
  typeof value === 'object' && value !== null && 'type' in value && typeof value.type === 'string';

/** Every mutant of a TypeScript text, in order. */
export function mutantsOf(text: string): Mutant[] {
  const found: Mutant[] = [];
  const ast = parse(text, { sourceType: 'module', plugins: ['typescript'] });
  const visit = (node: Node): void => {
    if (node.type.startsWith('TS') && node.type !== 'TSAsExpression') return;
    if (node.type === 'ImportDeclaration') return;
    found.push(...ofNode(node, text));
    for (const value of Object.values(node)) {
      if (isNode(value)) visit(value);
      else if (Array.isArray(value)) for (const one of value) if (isNode(one)) visit(one);
    }
  };
  visit(ast.program as unknown as Node);
  return found;
}

function ofNode(node: Node, text: string): Mutant[] {
  const { line } = node.loc.start;
  const whole = (one: Node, by: string): Mutant => ({ start: one.start, end: one.end, by, line });
  switch (node.type) {
    case 'BinaryExpression':
    case 'LogicalExpression':
    case 'AssignmentExpression': {
      const by = OPERATORS[String(node.operator)];
      const [left, right] = [node.left, node.right];
      if (by === undefined || !isNode(left) || !isNode(right)) return [];
      const at = text.indexOf(String(node.operator), left.end);
      return at < right.start ? [{ start: at, end: at + String(node.operator).length, by, line }] : [];
    }
    case 'IfStatement':
    case 'ConditionalExpression':
      return isNode(node.test) ? [whole(node.test, 'true'), whole(node.test, 'false')] : [];
    case 'BooleanLiteral':
      return [whole(node, node.value === true ? 'false' : 'true')];
    case 'NumericLiteral':
      return [whole(node, String(Number(node.value) + 1))];
    case 'UnaryExpression':
      return node.operator === '!' && isNode(node.argument)
        ? [whole(node, text.slice(node.argument.start, node.argument.end))]
        : [];
    case 'ExpressionStatement': {
      const of = node.expression;
      return isNode(of) && /^(Call|Await|Update)Expression$/.test(of.type) ? [whole(node, ';')] : [];
    }
    default:
      return [];
  }
}
