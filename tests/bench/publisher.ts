import { createServer, type Socket } from 'node:net';
import {
  CONNACK,
  CONNECT,
  idOf,
  LONGEST_PUBLISH,
  type Packet,
  PINGREQ,
  PINGRESP,
  PUBACK,
  PUBLISH,
  packetCutter,
  pubackTo,
  receiveMaximumOf,
  SUBSCRIBE,
  UNSUBSCRIBE,
  writePublish,
  yesTo,
} from './packets.ts';
import { reports, type StreamPlan } from './stream.ts';

/**
 * A process that is a broker to whoever connects, and sends the same stream to each as fast as it is
 * taken: no broker stands between, so that the subscriber is what is measured. All packets are
 * encoded beforehand. The last message of each part is sent at QoS 1: a subscriber handles messages
 * in order, so its acknowledgment tells that all before it were handled.
 */
export interface PublisherPlan extends StreamPlan {
  readonly qos: 0 | 1;
  /** Rounds of the stream that are sent before time is taken. */
  readonly warmUp: number;
  /** Messages on their way at QoS 1, at most; fewer where the client says so. */
  readonly window: number;
}

export type PublisherSays =
  | { readonly says: 'listening'; readonly port: number; readonly meanBytes: number }
  | { readonly says: 'subscribed' }
  | { readonly says: 'done'; readonly messages: number; readonly seconds: number }
  | { readonly says: 'failed'; readonly why: string };

const PIECE = 256 * 1024;

const plan = JSON.parse(process.argv[2] ?? '') as PublisherPlan;
const count = plan.plugs * plan.rounds;
const warm = plan.plugs * plan.warmUp;
const { bytes, ends } = encoded();

const say = (message: PublisherSays): void => {
  process.send?.(message);
};

function encoded(): { bytes: Buffer; ends: Float64Array } {
  const room = Buffer.allocUnsafe(count * LONGEST_PUBLISH);
  const offsets = new Float64Array(count);
  let index = 0;
  let end = 0;
  for (const report of reports(plan)) {
    const closesPart = index === warm - 1 || index === count - 1;
    end = writePublish(room, end, report, closesPart ? 1 : plan.qos, idOf(index));
    offsets[index] = end;
    index += 1;
  }
  return { bytes: room.subarray(0, end), ends: offsets };
}

const endOf = (index: number): number => (index === 0 ? 0 : (ends[index - 1] as number));

/** Serves one client: answers it, and on the word 'go' sends both parts of the stream. */
function serve(socket: Socket): void {
  let window = plan.window;
  let acknowledged = 0;
  let onAcknowledged = (): void => {};

  function answer(packet: Packet): void {
    if (packet.kind === PUBACK) {
      if (plan.qos === 1 && packet.body.readUInt16BE(0) !== idOf(acknowledged)) {
        say({ says: 'failed', why: 'messages were acknowledged out of order' });
        socket.destroy();
        return;
      }
      acknowledged += 1;
    } else if (packet.kind === CONNECT) {
      window = Math.min(window, receiveMaximumOf(packet.body));
      socket.write(CONNACK);
    } else if (packet.kind === SUBSCRIBE || packet.kind === UNSUBSCRIBE) {
      socket.write(yesTo(packet));
      if (packet.kind === SUBSCRIBE) say({ says: 'subscribed' });
    } else if (packet.kind === PINGREQ) {
      socket.write(PINGRESP);
    } else if (packet.kind === PUBLISH && packet.flags & 2) {
      socket.write(pubackTo(packet));
    }
  }

  /** Sends messages `from` to before `to`; resolves when the last is acknowledged. */
  function send(from: number, to: number): Promise<void> {
    return plan.qos === 1 ? sendInWindow(from, to) : sendAll(from, to);
  }

  async function sendAll(from: number, to: number): Promise<void> {
    const before = acknowledged;
    const last = endOf(to);
    for (let at = endOf(from); at < last; at += PIECE) {
      const piece = bytes.subarray(at, Math.min(at + PIECE, last));
      if (!socket.write(piece)) await new Promise((resolve) => socket.once('drain', resolve));
    }
    if (acknowledged > before) return;
    await new Promise<void>((resolve) => {
      onAcknowledged = resolve;
    });
  }

  function sendInWindow(from: number, to: number): Promise<void> {
    let sent = from;
    return new Promise((resolve) => {
      onAcknowledged = () => {
        const allowed = Math.min(to, acknowledged + window);
        if (allowed > sent) socket.write(bytes.subarray(endOf(sent), endOf(allowed)));
        sent = Math.max(sent, allowed);
        if (acknowledged === to) resolve();
      };
      onAcknowledged();
    });
  }

  async function stream(): Promise<void> {
    await send(0, warm);
    const start = performance.now();
    await send(warm, count);
    const seconds = (performance.now() - start) / 1000;
    say({ says: 'done', messages: count - warm, seconds });
  }

  const cut = packetCutter(answer);
  const go = (): void => {
    stream().catch((error: unknown) => say({ says: 'failed', why: String(error) }));
  };
  socket.setNoDelay(true);
  socket.on('data', (piece) => {
    const before = acknowledged;
    cut(piece);
    if (acknowledged > before) onAcknowledged();
  });
  socket.on('error', (error) => say({ says: 'failed', why: error.message }));
  socket.once('close', () => process.off('message', go));
  process.once('message', go);
}

const server = createServer(serve);
server.listen(0, '127.0.0.1', () => {
  const address = server.address();
  if (address === null || typeof address === 'string') throw new Error('no port to listen on');
  say({ says: 'listening', port: address.port, meanBytes: Math.round(bytes.length / count) });
});
process.once('disconnect', () => process.exit());
