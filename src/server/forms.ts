// Reads what browsers and the gateway send: forms, their fields, and cookies.
import express, { type Request } from 'express';

/** Plain form posts. Keys stay literal (`a[b]` is a key, not a list), as the gateway signs them. */
export const readForm = express.urlencoded({ extended: false, limit: '64kb' });

/** The fields of a form; empty when the body was no form. */
export const fieldsOf = (request: Request): Record<string, unknown> =>
  (request.body as Record<string, unknown> | undefined) ?? {};

/** One field's text; several boxes under one name become one text, in their order. */
export function fieldOf(request: Request, name: string): string {
  const value = fieldsOf(request)[name];
  return Array.isArray(value) ? value.join(' ') : typeof value === 'string' ? value : '';
}

/** One value of the query; null when absent or given twice. */
export function queryOf(request: Request, name: string): string | null {
  const value = request.query[name];
  return typeof value === 'string' ? value : null;
}

const TOKEN = /^[A-Za-z0-9_-]{16,100}$/;

export const isToken = (value: string): boolean => TOKEN.test(value);

/** The token in a cookie of ours; null when there is none, or what is there is none of ours. */
export function tokenIn(request: Request, cookie: string): string | null {
  const pairs = (request.headers.cookie ?? '').split(';').map((pair) => pair.trim().split('='));
  const value = pairs.find(([name]) => name === cookie)?.[1];
  return value !== undefined && isToken(value) ? value : null;
}
