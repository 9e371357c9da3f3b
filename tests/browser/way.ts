// A way to a server that a test can cut and mend, as a weak signal does: what is open breaks off, and nothing new gets through.
import { connect, createServer, type AddressInfo, type Socket } from 'node:net';

export interface Way {
  address: string;
  cut: () => void;
  mend: () => void;
  close: () => Promise<void>;
}

export async function openWay(to: string): Promise<Way> {
  const open = new Set<Socket>();
  let isCut = false;
  const keep = (socket: Socket) => {
    open.add(socket);
    socket.on('close', () => open.delete(socket)).on('error', () => undefined);
  };
  const server = createServer((near) => {
    if (isCut) return void near.destroy();
    const far = connect(Number(new URL(to).port), '127.0.0.1');
    [near, far].forEach(keep);
    near.on('close', () => far.destroy());
    far.on('close', () => near.destroy());
    near.pipe(far).pipe(near);
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const cut = () => {
    isCut = true;
    open.forEach((socket) => socket.destroy());
  };
  return {
    address: `http://127.0.0.1:${(server.address() as AddressInfo).port}`,
    cut,
    mend: () => void (isCut = false),
    close: () => {
      cut();
      return new Promise((resolve) => server.close(() => resolve()));
    },
  };
}
