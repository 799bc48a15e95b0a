/** Plans of a thousand bags, of several shapes, as their texts. */

/** What a rack of so many bags is like. */
export interface RackShape {
  readonly zones: number;
  /** Bags of each zone, across and deep. */
  readonly bags: readonly [across: number, deep: number];
  /** Zones side by side on a shelf. */
  readonly beside: number;
  /** No two shelves, lamps or batches alike. */
  readonly unlike?: boolean;
  readonly deck?: 'solid' | 'wire';
}

/** A tower of shelves, a lamp in front of and behind each zone, a batch a shelf, sealed over half a year. */
export function rackText({
  zones,
  bags: [across, deep],
  beside,
  unlike = false,
  deck = 'solid',
}: RackShape): string {
  const shelves = Array.from({ length: Math.ceil(zones / beside) }, (_, n) => n + 1);
  const vary = (n: number, of: number): number => (unlike ? (n * 37) % of : 0);
  const wide = 7 * across;
  const long = 9 * deep;
  const step = wide + 6;
  const all = shelves.flatMap((n) =>
    Array.from({ length: Math.min(beside, zones - (n - 1) * beside) }, (_, i) => ({
      n,
      i,
      name: `S${n}${'abcdefghij'[i]}`,
    })),
  );
  const zoneLine = ({ n, i, name }: (typeof all)[number]): string => {
    const [x, y] = [6 + step * i + vary(n, 17) / 10, 4 + vary(n, 13) / 10];
    return `  ${name}: { shelf: s${n}, x: [${x.toFixed(1)} in, ${(x + wide).toFixed(1)} in], y: [${y.toFixed(1)} in, ${(y + long).toFixed(1)} in], bags: [${across}, ${deep}] }`;
  };
  const lampLines = ({ n, i, name }: (typeof all)[number], at: number): string[] =>
    ['front', 'back'].map((side, k) => {
      const index = 2 * at + k;
      const flux = 150 * across + vary(n * beside + i, 101) + (unlike ? 7 * k : 0);
      return `  ${name}${side[0]}: { beside: ${name}, side: ${side}, output: c${Math.floor(index / 8) + 1}/${(index % 8) + 1}, flux: ${flux} lm }`;
    });
  const sealed = (n: number): string => {
    const days = unlike ? (n * 11) % 170 : 30 * (n % 6);
    return new Date(Date.UTC(2026, 0, 6 + days)).toISOString().slice(0, 10);
  };
  return `leanward: 1
place: { timezone: America/Chicago }
controllers:
${Array.from({ length: Math.ceil(all.length / 4) }, (_, n) => `  c${n + 1}: { unit: ${n + 1}, supply: { volts: 5 V, rating: 2 A } }`).join('\n')}
shelves:
${shelves.map((n) => `  s${n}: { height: ${n * 24} in, size: [${(12 + step * beside + vary(n, 41) / 10).toFixed(1)} in, ${long + 8 + vary(n, 23) / 10} in], clear: 22 in, deck: ${deck} }`).join('\n')}
zones:
${all.map(zoneLine).join('\n')}
lamps:
${all.flatMap(lampLines).join('\n')}
bags: { tall: { footprint: [5 in, 8 in], height: 19 in, fill: 5 lb, mix: { parts: { sawdust: 60 %, hull: 40 % } } } }
batches:
${shelves
  .map(
    (n) =>
      `  b${n}: { sealed: ${sealed(n)}, zones: [${all
        .filter((one) => one.n === n)
        .map(({ name }) => name)
        .join(', ')}] }`,
  )
  .join('\n')}
`;
}

/** The racks of a thousand bags that the bench measures, by name. */
export const RACKS: Readonly<Record<string, RackShape>> = {
  '20 zones of 50, alike': { zones: 20, bags: [25, 2], beside: 1 },
  '50 zones of 20, alike': { zones: 50, bags: [10, 2], beside: 2 },
  '200 zones of 5, alike': { zones: 200, bags: [5, 1], beside: 8 },
  '20 zones of 50, unlike': { zones: 20, bags: [25, 2], beside: 1, unlike: true },
  '50 zones of 20, unlike': { zones: 50, bags: [10, 2], beside: 2, unlike: true },
  '200 zones of 5, unlike': { zones: 200, bags: [5, 1], beside: 8, unlike: true },
  '50 zones of 20, unlike, wire decks': { zones: 50, bags: [10, 2], beside: 2, unlike: true, deck: 'wire' },
};
