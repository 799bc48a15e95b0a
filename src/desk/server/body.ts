/** The body of a request, read up to a limit. */

import type { IncomingMessage } from 'node:http';
import { PlanFault } from './plans.ts';

/** The JSON object that a request brings; of more than `bytesMax` bytes `tooLarge` says why not. */
export async function jsonOf(
  request: IncomingMessage,
  bytesMax: number,
  tooLarge: string,
): Promise<Record<string, unknown>> {
  const parts: Buffer[] = [];
  let size = 0;
  for await (const part of request as AsyncIterable<Buffer>) {
    size += part.length;
    if (size > bytesMax) throw new PlanFault(413, tooLarge);
    parts.push(part);
  }
  return parsed(Buffer.concat(parts).toString('utf8'));
}

function parsed(text: string): Record<string, unknown> {
  try {
    const value: unknown = JSON.parse(text === '' ? '{}' : text);
    if (typeof value === 'object' && value !== null) return { ...value };
  } catch {
    // Told below.
  }
  throw new PlanFault(400, 'The request is not JSON.');
}
