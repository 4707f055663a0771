import { payloadOf, type Report, topicOf } from './stream.ts';

/** As much of MQTT 5 as a publisher needs that is a broker to one client only. */

export const CONNECT = 1;
export const PUBLISH = 3;
export const PUBACK = 4;
export const SUBSCRIBE = 8;
export const UNSUBSCRIBE = 10;
export const PINGREQ = 12;

export interface Packet {
  readonly kind: number;
  readonly flags: number;
  readonly body: Buffer;
}

/** Cuts what a socket brings into packets; call the result with every piece. */
export function packetCutter(take: (packet: Packet) => void): (piece: Buffer) => void {
  let left: Buffer = Buffer.alloc(0);
  return (piece) => {
    const bytes = left.length === 0 ? piece : Buffer.concat([left, piece]);
    let at = 0;
    while (at < bytes.length) {
      const length = readVariable(bytes, at + 1);
      if (length === undefined || bytes.length < length.end + length.value) break;
      const first = bytes[at] as number;
      const end = length.end + length.value;
      take({ kind: first >> 4, flags: first & 15, body: bytes.subarray(length.end, end) });
      at = end;
    }
    left = bytes.subarray(at);
  };
}

/** A variable byte integer (MQTT 5 §1.5.5) and where it ends; undefined when it is cut off. */
function readVariable(bytes: Buffer, from: number): { value: number; end: number } | undefined {
  let value = 0;
  for (let at = from; at < bytes.length; at += 1) {
    const byte = bytes[at] as number;
    value += (byte & 127) * 128 ** (at - from);
    if (byte < 128) return { value, end: at + 1 };
  }
  return undefined;
}

/** Sizes of the properties that a CONNECT may have without text in them (MQTT 5 §3.1.2.11). */
const PROPERTY_BYTES: Readonly<Record<number, number>> = {
  17: 4, // session expiry interval
  33: 2, // receive maximum
  39: 4, // maximum packet size
  34: 2, // topic alias maximum
  25: 1, // request response information
  23: 1, // request problem information
};
const RECEIVE_MAXIMUM = 33;

/** How many unacknowledged messages the client of this CONNECT takes. */
export function receiveMaximumOf(connect: Buffer): number {
  const version = connect[6];
  if (version !== 5) throw new Error(`the publisher speaks MQTT 5 only, the client ${version}`);
  const length = readVariable(connect, 10);
  if (length === undefined) throw new Error('a CONNECT without properties');
  for (let at = length.end; at < length.end + length.value; ) {
    const id = connect[at] as number;
    if (id === RECEIVE_MAXIMUM) return connect.readUInt16BE(at + 1);
    const bytes = PROPERTY_BYTES[id];
    if (bytes === undefined) throw new Error(`a CONNECT with property ${id}`);
    at += 1 + bytes;
  }
  return 65_535;
}

export const CONNACK = Buffer.from([0x20, 3, 0, 0, 0]);
export const PINGRESP = Buffer.from([0xd0, 0]);

/** SUBACK or UNSUBACK that says yes to everything asked for. */
export function yesTo({ kind, body }: Packet): Buffer {
  const properties = readVariable(body, 2);
  if (properties === undefined) throw new Error('a SUBSCRIBE that is cut off');
  let filters = 0;
  for (let at = properties.end + properties.value; at < body.length; filters += 1) {
    at += 2 + body.readUInt16BE(at) + (kind === SUBSCRIBE ? 1 : 0);
  }
  const granted = kind === SUBSCRIBE ? 1 : 0;
  const head = [kind === SUBSCRIBE ? 0x90 : 0xb0, 3 + filters, body[0] ?? 0, body[1] ?? 0, 0];
  return Buffer.from([...head, ...new Array<number>(filters).fill(granted)]);
}

/** The PUBACK to a PUBLISH of QoS 1. */
export function pubackTo({ body }: Packet): Buffer {
  const topic = body.readUInt16BE(0);
  return Buffer.from([0x40, 2, body[2 + topic] ?? 0, body[3 + topic] ?? 0]);
}

/** Packet ids in turn; far more than are ever on their way. */
export const idOf = (index: number): number => 1 + (index % 65_535);

/** Writes a PUBLISH of `report` into `bytes` at `at` and returns where it ends. */
export function writePublish(
  bytes: Buffer,
  at: number,
  report: Report,
  qos: 0 | 1,
  id: number,
): number {
  const topic = topicOf(report.plug);
  const payload = payloadOf(report);
  const length = 2 + topic.length + 2 * qos + 1 + payload.length;
  let end = at;
  bytes[end++] = (PUBLISH << 4) | (qos << 1);
  bytes[end++] = (length & 127) | 128;
  bytes[end++] = length >> 7;
  end = bytes.writeUInt16BE(topic.length, end);
  end += bytes.write(topic, end, 'latin1');
  if (qos === 1) end = bytes.writeUInt16BE(id, end);
  bytes[end++] = 0;
  return end + bytes.write(payload, end, 'latin1');
}

/** No PUBLISH of ours is longer; all are longer than 127 bytes, whose length takes two bytes. */
export const LONGEST_PUBLISH = 320;
