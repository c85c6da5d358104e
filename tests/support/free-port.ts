import { createServer } from 'node:net';

/** A port that nobody listens on at this moment. */
export const freePort = (): Promise<number> =>
  new Promise((found, failed) => {
    const probe = createServer();
    probe.on('error', failed);
    probe.listen(0, '127.0.0.1', () => {
      const address = probe.address();
      probe.close(() => (typeof address === 'object' && address !== null ? found(address.port) : failed(new Error())));
    });
  });
