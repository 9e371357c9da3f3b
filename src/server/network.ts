// From which network a request comes: the block of addresses that one household, phone or server has.
import type { Request } from 'express';

/**
 * An IPv4 address alone, or the first 64 bits of an IPv6 address, which is what one line is given. *Choice*. Undefined for
 * this machine itself. Never stored or logged.
 */
export function networkOf({ ip }: Pick<Request, 'ip'>): string | undefined {
  const address = (ip ?? '').replace(/^::ffff:(?=\d+\.)/i, '').replace(/%.*$/, '');
  if (address === '' || address === '::1' || address.startsWith('127.')) return undefined;
  return address.includes(':') ? firstFour(address) : address;
}

function firstFour(address: string): string {
  const [head = '', tail] = address.toLowerCase().split('::');
  const before = head ? head.split(':') : [];
  const after = tail ? tail.split(':') : [];
  const zeros = tail === undefined ? 0 : 8 - before.length - after.length;
  const groups = [...before, ...Array<string>(Math.max(0, zeros)).fill('0'), ...after];
  return groups
    .slice(0, 4)
    .map((group) => group.replace(/^0+(?=.)/, ''))
    .join(':');
}
