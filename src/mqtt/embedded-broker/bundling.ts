import type { Socket } from 'node:net';

/**
 * Lets what the broker hands to a client in one turn of the event loop leave in one write. It writes
 * each message by itself otherwise, and the write costs more than all else that is done with it.
 */
export function bundleWrites(socket: Socket): void {
  const cork = socket.cork.bind(socket);
  let holding = false;
  const release = (): void => {
    holding = false;
    socket.uncork();
  };
  // mqtt-packet corks the stream around each packet: the first one of a turn is held a little longer.
  socket.cork = () => {
    cork();
    if (holding) return;
    holding = true;
    cork();
    setImmediate(release);
  };
}
