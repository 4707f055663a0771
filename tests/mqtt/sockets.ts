import { connect, createServer, type Server, type Socket } from 'node:net';

const HOST = '127.0.0.1';

/** Starts a TCP server on a free loopback port. */
export async function serve(onSocket: (socket: Socket) => void, port = 0): Promise<TestServer> {
  const sockets = new Set<Socket>();
  const server = createServer((socket) => {
    sockets.add(socket);
    socket.on('close', () => sockets.delete(socket));
    socket.on('error', () => {});
    onSocket(socket);
  });
  await new Promise<void>((resolve) => server.listen(port, HOST, resolve));
  const cut = () => {
    for (const socket of sockets) socket.destroy();
  };
  return {
    server,
    port: (server.address() as { port: number }).port,
    cut,
    close: () =>
      new Promise((resolve) => {
        server.close(() => resolve());
        cut();
      }),
  };
}

export interface TestServer {
  readonly server: Server;
  readonly port: number;
  /** Destroys every socket; new ones are welcome. */
  cut(): void;
  close(): Promise<void>;
}

export async function freePort(): Promise<number> {
  const [port] = await freePorts(1);
  return port as number;
}

/** As many different ones. */
export async function freePorts(count: number): Promise<number[]> {
  const servers = await Promise.all(Array.from({ length: count }, () => serve(() => {})));
  await Promise.all(servers.map((server) => server.close()));
  return servers.map(({ port }) => port);
}

/** A wire that can be cut, or go dead without a word as a router without power does. */
export interface Wire {
  readonly port: number;
  /** How many connections were made through it. */
  readonly connections: number;
  cut(): void;
  /** Nothing passes any more on the connections that stand; new ones work. */
  deaden(): void;
  /** Cuts, and refuses new connections until mended. */
  sever(): void;
  mend(): void;
  close(): Promise<void>;
}

export async function wireTo(target: number): Promise<Wire> {
  let severed = false;
  let connections = 0;
  const alive = new Set<{ dead: boolean }>();
  const server = await serve((near) => {
    if (severed) {
      near.destroy();
      return;
    }
    connections += 1;
    const strand = { dead: false };
    alive.add(strand);
    const far = connect({ host: HOST, port: target });
    near.on('data', (chunk) => strand.dead || far.write(chunk));
    far.on('data', (chunk) => strand.dead || near.write(chunk));
    far.on('error', () => near.destroy());
    far.on('close', () => strand.dead || near.destroy());
    near.on('close', () => far.destroy());
  });
  return {
    port: server.port,
    get connections() {
      return connections;
    },
    cut: server.cut,
    deaden() {
      for (const strand of alive) strand.dead = true;
    },
    sever() {
      severed = true;
      server.cut();
    },
    mend() {
      severed = false;
    },
    close: server.close,
  };
}
