// Lets the ledger or the gateway die at the Nth call, before or after the call was carried out; nothing in src knows of it.

export interface Fault {
  at: number;
  /** Whether the call was carried out before it failed. */
  when: 'before' | 'after';
  /** `dead`: the process is gone, and every later call fails as well, until it is started anew. `once`: it lives on. */
  how: 'dead' | 'once';
}

export interface Doom {
  fault: Fault | null;
  /** Calls so far, over all that is wrapped. */
  calls: number;
  struck: boolean;
  isDead: boolean;
}

export class Died extends Error {
  override name = 'Died';
}

/** The same thing, whose calls are counted and die as the doom has it. Closing is no call. */
export function doomed<T extends object>(thing: T, doom: Doom): T {
  return new Proxy(thing, {
    get: (target, name) => {
      const value: unknown = Reflect.get(target, name);
      if (typeof value !== 'function' || name === 'close') return value;
      return (...args: unknown[]) => call(() => Reflect.apply(value, target, args) as Promise<unknown>, doom);
    },
  });
}

async function call(run: () => Promise<unknown>, doom: Doom): Promise<unknown> {
  if (doom.isDead) throw new Died('the process is gone');
  doom.calls += 1;
  if (doom.calls !== doom.fault?.at) return run();
  const { when, how } = doom.fault;
  if (when === 'after') await run();
  doom.struck = true;
  doom.isDead = how === 'dead';
  throw new Died(`at call ${doom.calls}, ${when} it was carried out`);
}
