import { type Told, TourStops } from './told.ts';

/** Somebody to whom a gym's board is pushed. */
export interface Listener {
  /**
   * Waits for the first board from which `read` reads something, and tells it in the words of `answer`. Ends the tour
   * where none is pushed.
   */
  hears<T>(what: string, read: (board: unknown) => T | null, answer: (heard: T) => string): Promise<T>;
  close(): void;
}

/** More than the service ever takes, which looks with the clock each quarter of a minute. */
const LONGEST_MS = 60_000;

/** Opens the stream of server-sent events at an address. */
export async function listenTo(
  url: string,
  token: string,
  { who, told }: { who: string; told: Told },
): Promise<Listener> {
  const closing = new AbortController();
  const headers = { Accept: 'text/event-stream', Authorization: `Bearer ${token}` };
  const response = await fetch(url, { headers, signal: closing.signal });
  if (!response.ok || response.body === null) {
    throw new TourStops(`The tour differs from what it says. ${who} was to be let listen; it was ${response.status}.`);
  }
  const boards = dataOf(response.body);
  return {
    async hears(what, read, answer) {
      const patience = setTimeout(() => closing.abort(), LONGEST_MS);
      try {
        for (;;) {
          const { value, done } = await boards.next();
          if (done) break;
          const heard = read(value);
          if (heard === null) continue;
          told.line(`    Pushed: ${answer(heard)}`);
          return heard;
        }
      } catch (fault) {
        if (!closing.signal.aborted) throw fault;
      } finally {
        clearTimeout(patience);
      }
      throw new TourStops(`The tour differs from what it says. ${who} was to be pushed a board ${what}; none came.`);
    },
    close: () => closing.abort(),
  };
}

/** The data of each message, read as JSON: https://html.spec.whatwg.org/multipage/server-sent-events.html */
async function* dataOf(body: ReadableStream<Uint8Array>): AsyncGenerator<unknown, void> {
  const decoder = new TextDecoder();
  let text = '';
  for await (const chunk of body) {
    text += decoder.decode(chunk, { stream: true });
    const messages = text.split('\n\n');
    text = messages.pop() ?? '';
    for (const message of messages) {
      const lines = message.split('\n').filter((line) => line.startsWith('data: '));
      if (lines.length > 0) yield JSON.parse(lines.map((line) => line.slice('data: '.length)).join('\n'));
    }
  }
}
