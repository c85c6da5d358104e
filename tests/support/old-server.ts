import { createServer, type Server } from 'node:net';

/**
 * Speaks just enough of the PostgreSQL wire protocol (version 3, from the PostgreSQL manual, "Frontend/Backend
 * Protocol") to let anybody in and answer every query with one row: its version.
 */
export function startOldServer(version: string, number: string): Promise<{ server: Server; port: number }> {
  const server = createServer((socket) => {
    let greeted = false;
    socket.on('error', () => undefined);
    socket.on('data', (chunk) => {
      if (!greeted) {
        greeted = true;
        socket.write(Buffer.concat([message('R', int32(0)), message('Z', Buffer.from('I'))]));
      } else if (chunk.toString('latin1', 0, 1) === 'Q') {
        socket.write(Buffer.concat([columns(['version', 'number']), row([version, number]), done(), ready()]));
      } else {
        socket.end();
      }
    });
  });
  return new Promise((listening) => {
    server.listen(0, '127.0.0.1', () => {
      const address = server.address();
      listening({ server, port: typeof address === 'object' && address !== null ? address.port : 0 });
    });
  });
}

const int16 = (value: number): Buffer => {
  const bytes = Buffer.alloc(2);
  bytes.writeInt16BE(value);
  return bytes;
};

const int32 = (value: number): Buffer => {
  const bytes = Buffer.alloc(4);
  bytes.writeInt32BE(value);
  return bytes;
};

const message = (type: string, body: Buffer): Buffer =>
  Buffer.concat([Buffer.from(type), int32(body.length + 4), body]);

const TEXT = 25;

function columns(names: string[]): Buffer {
  const each = names.map((name) =>
    Buffer.concat([Buffer.from(`${name}\0`), int32(0), int16(0), int32(TEXT), int16(-1), int32(-1), int16(0)]),
  );
  return message('T', Buffer.concat([int16(names.length), ...each]));
}

function row(values: string[]): Buffer {
  const each = values.map((value) => Buffer.concat([int32(Buffer.byteLength(value)), Buffer.from(value)]));
  return message('D', Buffer.concat([int16(values.length), ...each]));
}

const done = (): Buffer => message('C', Buffer.from('SELECT 1\0'));
const ready = (): Buffer => message('Z', Buffer.from('I'));
