// What may be said of a database's address.

/** User, host, port and name, for people to read: never the password, nor what follows the name. */
export function placeOf(url: string): string {
  const { username, host, pathname } = new URL(url);
  return `postgres://${username && `${username}@`}${host}${pathname}`;
}
