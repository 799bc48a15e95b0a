/** The computer's own ports, where parts of the system that usually help are missing. */

import { afterEach, expect, it, vi } from 'vitest';
import { listPorts } from '../../../src/link/real-port.ts';

afterEach(() => vi.unstubAllEnvs());

it('are listed without the system’s device manager', async () => {
  vi.stubEnv('PATH', '/nowhere');
  const ports = await listPorts();
  expect(ports.every(({ path }) => path !== '')).toBe(true);
});
