import type { AddressInfo } from 'node:net';
import { connect, createServer, type Socket } from 'node:net';

/** A cable between a device and a service, which can be cut. */
export interface Cable {
  url: string;
  /** From now on: requests arrive and are done, and their answers are lost. */
  loseAnswers(): void;
  /** From now on nothing arrives. */
  cut(): void;
  /** Whoever is connected loses their connection. */
  drop(): void;
  mend(): void;
  close(): Promise<void>;
}

export async function aCable(to: string): Promise<Cable> {
  let state: 'whole' | 'loses answers' | 'cut' = 'whole';
  const { hostname, port } = new URL(to);
  const sockets = new Set<Socket>();
  const server = createServer((near) => {
    const far = connect(Number(port), hostname);
    for (const socket of [near, far]) {
      sockets.add(socket);
      socket.on('error', () => {});
      socket.on('close', () => {
        sockets.delete(socket);
        near.destroy();
        far.destroy();
      });
    }
    near.on('data', (chunk) => (state === 'cut' ? near.destroy() : far.write(chunk)));
    // The service has done the work when its answer begins.
    far.on('data', (chunk) => (state === 'whole' ? near.write(chunk) : near.destroy()));
  });
  await new Promise<void>((listening) => server.listen(0, '127.0.0.1', listening));
  const { port: own } = server.address() as AddressInfo;
  return {
    url: `http://127.0.0.1:${own}`,
    loseAnswers: () => {
      state = 'loses answers';
    },
    cut: () => {
      state = 'cut';
    },
    drop: () => {
      for (const socket of sockets) socket.destroy();
    },
    mend: () => {
      state = 'whole';
    },
    close: () =>
      new Promise((closed) => {
        for (const socket of sockets) socket.destroy();
        server.close(() => closed());
      }),
  };
}
