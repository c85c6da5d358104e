import { createServer, type RequestListener, type Server } from 'node:http';
import { CannotStart, errorCode, messageOf } from '../cannot-start.ts';

/** A request that trickles in is cut off: nobody keeps a connection by sending nothing. */
const SLOWEST_HEADERS_MS = 10_000;
const SLOWEST_REQUEST_MS = 30_000;

/**
 * Listens, and gives the server with its address for people: `http://127.0.0.1:3000`.
 *
 * @throws CannotStart when the port is taken, needs rights, or the address isn't this machine's.
 */
export async function listen(
  handler: RequestListener,
  port: number,
  host: string,
): Promise<{ server: Server; url: string }> {
  const server = createServer({ headersTimeout: SLOWEST_HEADERS_MS, requestTimeout: SLOWEST_REQUEST_MS }, handler);
  await new Promise<void>((listening, failed) => {
    server.once('error', (error) => failed(cannotListen(error, port, host)));
    server.listen(port, host, listening);
  });
  const address = server.address();
  const actual = typeof address === 'object' && address !== null ? address.port : port;
  const name = ['0.0.0.0', '::'].includes(host) ? 'localhost' : host.includes(':') ? `[${host}]` : host;
  return { server, url: `http://${name}:${actual}` };
}

function cannotListen(error: unknown, port: number, host: string): CannotStart {
  const code = errorCode(error);
  if (code === 'EADDRINUSE') {
    return new CannotStart(
      `Port ${port} on ${host} is taken by another program; stop that one, or set PORT to another.`,
    );
  }
  if (code === 'EACCES') {
    return new CannotStart(`This user may not listen on port ${port}; set PORT to one above 1023.`);
  }
  if (code === 'EADDRNOTAVAIL' || code === 'ENOTFOUND') {
    return new CannotStart(`${host} is not an address of this machine; set HOST to one that is, such as 127.0.0.1.`);
  }
  return new CannotStart(`Matside can't listen on ${host}:${port} (${code ?? messageOf(error)}).`);
}

const LONGEST_DRAIN_MS = 10_000;

/** Takes no more connections, lets requests under way finish, and cuts what is still open after ten seconds. */
export async function drain(server: Server): Promise<void> {
  const closed = new Promise<void>((done) => server.close(() => done()));
  server.closeIdleConnections();
  const cut = setTimeout(() => server.closeAllConnections(), LONGEST_DRAIN_MS);
  await closed;
  clearTimeout(cut);
}
