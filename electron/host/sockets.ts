import type { IncomingMessage } from 'node:http';
import type { Duplex } from 'node:stream';
import { type WebSocket, WebSocketServer } from 'ws';
import { z } from 'zod';
import type { Dispatch } from '../../core/contract/dispatch.ts';
import type { Envelope } from '../../core/contract/envelope.ts';
import type { Announcement } from '../../core/contract/messages.ts';
import { largestMessageBytes } from '../../core/contract/socket.ts';
import { refuseHandshake, socketProtocol } from './guards.ts';

const callSchema = z.object({ call: z.string().min(8).max(64), name: z.unknown(), input: z.unknown() });

/** Answers kept for calls that a page sends again after its connection broke. */
const keptAnswers = 500;
/** Larger answers are made anew instead; only reading gives them. */
const largestKeptAnswerChars = 100_000;

export interface SocketDoor {
  handleUpgrade(request: IncomingMessage, socket: Duplex, head: Buffer): void;
  announce(announcement: Announcement): void;
  close(): void;
}

export interface SocketDoorOptions {
  readonly dispatch: Dispatch;
  readonly port: () => number;
  readonly token: string;
  /** Differs at each start, so that a page notices that the host behind it is another run. */
  readonly run: string;
  log(sentence: string): void;
}

/** The WebSocket side of the loopback host: checks the sender, then passes messages to the one dispatch. */
export function createSocketDoor({ dispatch, port, token, run, log }: SocketDoorOptions): SocketDoor {
  const server = new WebSocketServer({
    noServer: true,
    maxPayload: largestMessageBytes,
    handleProtocols: () => socketProtocol,
    perMessageDeflate: false,
  });
  const answers = new Map<string, Promise<string>>();

  function answer(text: string): Promise<string> {
    const parsed = callSchema.safeParse(parseJson(text));
    if (!parsed.success) {
      const refusal: Envelope<never> = {
        ok: false,
        error: { code: 'bad_message', message: 'A message arrived that the program does not understand.' },
      };
      return Promise.resolve(JSON.stringify({ call: null, envelope: refusal }));
    }
    const { call, name, input } = parsed.data;
    const known = answers.get(call);
    if (known !== undefined) return known;
    const made = dispatch(name, input).then((envelope) => JSON.stringify({ call, envelope }));
    answers.set(call, made);
    void made.then((textOfAnswer) => {
      if (textOfAnswer.length > largestKeptAnswerChars) answers.delete(call);
    });
    for (const oldest of answers.keys()) {
      if (answers.size <= keptAnswers) break;
      answers.delete(oldest);
    }
    return made;
  }

  server.on('connection', (socket: WebSocket) => {
    socket.on('error', (error) => log(`connection: ${error.message}`));
    socket.on('message', (data, isBinary) => {
      const text = isBinary ? '' : String(data);
      void answer(text).then((reply) => {
        if (socket.readyState === socket.OPEN) socket.send(reply);
      });
    });
    socket.send(JSON.stringify({ run }));
  });

  return {
    handleUpgrade(request, socket, head) {
      const reason = refuseHandshake(
        {
          host: request.headers.host,
          origin: request.headers.origin,
          protocols: request.headers['sec-websocket-protocol'],
        },
        port(),
        token,
      );
      if (reason !== null) {
        log(`refused a connection: ${reason}`);
        socket.end('HTTP/1.1 403 Forbidden\r\nConnection: close\r\nContent-Length: 0\r\n\r\n');
        return;
      }
      server.handleUpgrade(request, socket, head, (accepted) => server.emit('connection', accepted, request));
    },
    announce(announcement) {
      const text = JSON.stringify({ announcement });
      for (const socket of server.clients) if (socket.readyState === socket.OPEN) socket.send(text);
    },
    close() {
      for (const socket of server.clients) socket.terminate();
      server.close();
    },
  };
}

function parseJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}
