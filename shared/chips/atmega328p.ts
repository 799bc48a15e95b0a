/**
 * Facts of the ATmega328P that firmware and emulation share: where a pin of
 * the common boards' order lies, and which timer dims it.
 *
 * Always holds: names are those of `board.json`; figures are the data sheet's
 * (pin descriptions, and the alternate functions of ports B and D).
 */

/** A port's letter, and the bit in it. */
export interface PortBit {
  readonly port: 'B' | 'C' | 'D';
  /** 0–7. */
  readonly bit: number;
}

/** Where a pin such as `D4`, `D9` or `A2` lies. */
export function portBit(pin: string): PortBit {
  const number = Number(pin.slice(1));
  if (pin.startsWith('A')) return { port: 'C', bit: number };
  return number < 8 ? { port: 'D', bit: number } : { port: 'B', bit: number - 8 };
}

/** A timer's compare channel. */
export interface DimChannel {
  readonly timer: 0 | 1 | 2;
  readonly channel: 'A' | 'B';
}

const CHANNELS: Readonly<Record<string, DimChannel>> = {
  D3: { timer: 2, channel: 'B' },
  D5: { timer: 0, channel: 'B' },
  D6: { timer: 0, channel: 'A' },
  D9: { timer: 1, channel: 'A' },
  D10: { timer: 1, channel: 'B' },
  D11: { timer: 2, channel: 'A' },
};

/** The channel that can dim a pin; undefined when none can. */
export function dimChannel(pin: string): DimChannel | undefined {
  return CHANNELS[pin];
}
