import type { IPublishPacket } from 'mqtt';
import type { Clock, Instant, Logger } from '../units/index.ts';
import type { LinkOptions } from './contract.ts';

/** Hands messages to `receive`, one at a time, and says when each may be acknowledged. */
export interface Intake {
  /** `done` without an error lets the connection acknowledge the packet; it is always called. */
  take(packet: IPublishPacket, done: (error?: Error) => void): void;
  readonly lastMessage: Instant | undefined;
  readonly failures: number;
}

export function createIntake(
  receive: LinkOptions['receive'],
  clock: Clock,
  logger: Logger,
): Intake {
  let lastMessage: Instant | undefined;
  let failures = 0;

  // A message that failed is acknowledged all the same: sent again it would fail again, and
  // messages without an acknowledgment close the broker's window for all the others.
  function failed(topic: string, error: unknown): void {
    failures += 1;
    const powerOfTwo = (failures & (failures - 1)) === 0;
    if (powerOfTwo) {
      logger.error({ topic, failures, reason: String(error) }, 'a message could not be taken in');
    }
  }

  return {
    get lastMessage() {
      return lastMessage;
    },
    get failures() {
      return failures;
    },
    take(packet, done) {
      lastMessage = clock.now();
      let pending: Promise<void> | undefined;
      try {
        pending = receive({
          topic: packet.topic,
          payload: packet.payload as Buffer,
          retained: packet.retain,
          arrived: lastMessage,
        }) as Promise<void> | undefined;
      } catch (error) {
        failed(packet.topic, error);
      }
      if (pending === undefined) {
        done();
        return;
      }
      pending.then(
        () => done(),
        (error: unknown) => {
          failed(packet.topic, error);
          done();
        },
      );
    },
  };
}
