// One plan on a page of its own. Case codes can be guessed, so the address carries a token that cannot.
// oxlint-disable oxc/no-async-endpoint-handlers -- Express 5 hands a rejection on to the error middleware
import type { Express } from 'express';
import type { DrawnPlan } from '../channels/chat/drawn.ts';
import { planPage } from '../channels/chat/plan-page.ts';
import { chooseLanguage } from '../channels/words.ts';
import type { Case, KeptText } from '../duty/kept.ts';
import { sameToken } from '../duty/entry/sessions.ts';
import type { ServerParts } from './parts.ts';

export function mountPlan(app: Express, parts: ServerParts): void {
  app.get('/p/:handle', async (request, response, next) => {
    const [, code = '', token = ''] = HANDLE.exec(request.params.handle) ?? [];
    if (!sameToken(token, parts.planToken(code))) return next();
    const found = await parts.ledger.case(code);
    if (!found?.plan || isForgotten(found)) return next();
    const { words } = parts;
    const reader = { words, language: chooseLanguage(words.languages, found.language, '') };
    response.setHeader('X-Robots-Tag', 'noindex, nofollow');
    response
      .type('html')
      .send(planPage({ reader, ...toDraw(found.plan, found), texts: parts.planTexts(found) }));
  });
}

const HANDLE = /^([A-Z0-9]{1,20})-([\w-]{20,100})$/;

export function planPath(parts: Pick<ServerParts, 'planToken'>, code: string): string {
  return `/p/${code}-${parts.planToken(code)}`;
}

/** The drawing that a conversation shows: after its newest text of a plan, as that case's plan is now. */
export async function drawnIn(parts: ServerParts, thread: readonly KeptText[]): Promise<DrawnPlan | null> {
  const last = thread.findLast(isOfPlan);
  const found = last?.code ? await parts.ledger.case(last.code) : null;
  if (!last || !found?.plan || found.contact !== last.address || isForgotten(found)) return null;
  return { line: last.line, page: planPath(parts, found.code), ...toDraw(found.plan, found) };
}

function isOfPlan({ direction, from, key, text }: KeptText): boolean {
  return direction === 'out' && from === 'palmward' && text !== null && (key ?? '').startsWith('plan.');
}

/** Whoever had their texts deleted finds no plan of theirs either, also of a case that had ended before. */
function isForgotten({ endedAs, contact }: Case): boolean {
  return endedAs === 'forgotten' || contact === '';
}

function toDraw(plan: NonNullable<Case['plan']>, { findings }: Case): Pick<DrawnPlan, 'plan' | 'about'> {
  return { plan, about: findings ?? { sites: [] } };
}
