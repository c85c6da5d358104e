import { type IncomingMessage, request } from 'node:http';

/** One server-sent event; `data` read as JSON. */
export interface Sent<T> {
  id: string | null;
  event: string;
  data: T;
}

/** Somebody who reads a stream. */
export interface Reader<T> {
  status: number;
  headers: IncomingMessage['headers'];
  /** The message after the last one that was asked for, as soon as it is there; fails when the stream ends before. */
  next(): Promise<Sent<T>>;
  /** The comment after the last one that was asked for. */
  nextComment(): Promise<string>;
  /** Messages that have come and were not asked for. */
  unread(): number;
  /** When the stream is over, whoever ended it. */
  ended: Promise<void>;
  /** Takes nothing more until `resume`. */
  pause(): void;
  resume(): void;
  close(): void;
}

/** A line of things that come, for those who wait. */
function aQueue<T>(ended: Promise<void>) {
  const come: T[] = [];
  const waiting: ((one: T) => void)[] = [];
  return {
    come,
    push(one: T) {
      const next = waiting.shift();
      if (next) next(one);
      else come.push(one);
    },
    take(): Promise<T> {
      const first = come.shift();
      if (first !== undefined) return Promise.resolve(first);
      return new Promise((resolve, reject) => {
        waiting.push(resolve);
        void ended.then(() => reject(new Error('the stream ended before it came')));
      });
    },
  };
}

/** Opens a stream, parsed as the HTML standard says (section 9.2.6), apart from the service's own code. */
export async function aReader<T>(url: string, headers: Record<string, string> = {}): Promise<Reader<T>> {
  const response = await new Promise<IncomingMessage>((resolve, reject) => {
    request(url, { headers, agent: false }, resolve).on('error', reject).end();
  });
  response.setEncoding('utf8');
  response.on('error', () => undefined);
  const ended = new Promise<void>((resolve) => response.once('close', resolve));
  const messages = aQueue<Sent<T>>(ended);
  const comments = aQueue<string>(ended);

  let buffer = '';
  let fields: Record<string, string> = {};
  response.on('data', (chunk: string) => {
    buffer += chunk;
    if (!chunk.includes('\n')) return;
    const lines = buffer.split('\n');
    buffer = lines.pop() ?? '';
    for (const line of lines) take(line);
  });
  function take(line: string): void {
    if (line === '') {
      const { id = null, event = 'message', data } = fields;
      fields = {};
      if (data !== undefined) messages.push({ id, event, data: JSON.parse(data) });
      return;
    }
    const [, field = '', value = ''] = /^([^:]*):? ?(.*)$/.exec(line) ?? [];
    if (field === '') comments.push(value);
    else fields[field] = value;
  }

  return {
    status: response.statusCode ?? 0,
    headers: response.headers,
    next: messages.take,
    nextComment: comments.take,
    unread: () => messages.come.length,
    ended,
    pause: () => void response.pause(),
    resume: () => void response.resume(),
    close: () => void response.destroy(),
  };
}
