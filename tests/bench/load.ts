import { Agent, request } from 'node:http';
import { performance } from 'node:perf_hooks';

export interface Call {
  method: 'GET' | 'POST';
  path: string;
  body?: unknown;
}

/** A server under load: where it is, and how to call it. */
export interface Side {
  url: string;
  headers: Record<string, string>;
}

export interface Round {
  /** Of each request, from the first byte sent to the last received, in milliseconds. */
  latencies: number[];
  perSecond: number;
}

export interface Answered {
  status: number;
  text: string;
}

function send({ url, headers }: Side, { method, path, body }: Call, agent?: Agent): Promise<Answered> {
  const text = body === undefined ? undefined : JSON.stringify(body);
  return new Promise((done, failed) => {
    const outgoing = request(
      `${url}${path}`,
      {
        method,
        ...(agent === undefined ? {} : { agent }),
        headers: {
          ...headers,
          ...(text === undefined
            ? {}
            : { 'Content-Type': 'application/json', 'Content-Length': Buffer.byteLength(text) }),
        },
      },
      (response) => {
        const chunks: Buffer[] = [];
        response.on('data', (chunk: Buffer) => chunks.push(chunk));
        response.on('end', () => done({ status: response.statusCode ?? 0, text: Buffer.concat(chunks).toString() }));
        response.on('error', failed);
      },
    );
    outgoing.on('error', failed);
    outgoing.end(text);
  });
}

/** Like `send`; anything but a success ends the bench, since a refusal is quick and would look like speed. */
export async function sendOrFail(side: Side, call: Call, agent?: Agent): Promise<Answered> {
  const answer = await send(side, call, agent);
  if (answer.status < 200 || answer.status > 299) {
    throw new Error(`${call.method} ${call.path} gave ${answer.status}: ${answer.text.slice(0, 500)}`);
  }
  return answer;
}

/** A closed loop: so many clients, each of which sends its next request when it has the answer to its last. */
export async function closedLoop(side: Side, clients: number, calls: readonly Call[]): Promise<Round> {
  const latencies: number[] = [];
  let next = 0;
  // Of this round alone: a server closes a connection that was idle while the other side had its round.
  const agent = new Agent({ keepAlive: true });
  const client = async () => {
    for (let call = calls[next++]; call !== undefined; call = calls[next++]) {
      const began = performance.now();
      await sendOrFail(side, call, agent);
      latencies.push(performance.now() - began);
    }
  };
  const began = performance.now();
  await Promise.all(Array.from({ length: clients }, client));
  const seconds = (performance.now() - began) / 1000;
  agent.destroy();
  return { latencies, perSecond: calls.length / seconds };
}
