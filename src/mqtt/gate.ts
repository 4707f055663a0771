/** Lets callers wait for something that comes and goes. Shut at first. */
export interface Gate {
  open(): void;
  shut(): void;
  /** Turns away who waits, and everyone after. */
  close(error: Error): void;
  /** Resolves while open; rejects with `late()` after `timeoutMs`. */
  pass(timeoutMs: number | undefined, late: () => Error): Promise<void>;
}

interface Waiter {
  resolve(): void;
  reject(error: Error): void;
}

export function createGate(): Gate {
  const waiters = new Set<Waiter>();
  let isOpen = false;
  let closed: Error | undefined;

  return {
    open() {
      isOpen = true;
      for (const waiter of waiters) waiter.resolve();
    },
    shut() {
      isOpen = false;
    },
    close(error) {
      closed = error;
      for (const waiter of waiters) waiter.reject(error);
    },
    async pass(timeoutMs, late) {
      if (closed !== undefined) throw closed;
      if (isOpen) return;
      let timer: NodeJS.Timeout | undefined;
      let waiter: Waiter | undefined;
      try {
        await new Promise<void>((resolve, reject) => {
          waiter = { resolve, reject };
          waiters.add(waiter);
          if (timeoutMs !== undefined) timer = setTimeout(() => reject(late()), timeoutMs);
        });
      } finally {
        clearTimeout(timer);
        if (waiter !== undefined) waiters.delete(waiter);
      }
    },
  };
}
