// The HTTP server: which route goes where, in the order that requests meet them.
import type { RequestListener } from 'node:http';
import express, { type Express } from 'express';
import { mountAssets } from './assets.ts';
import { mountChat } from './chat-routes.ts';
import { mountDuty } from './duty-routes.ts';
import { notFound, sayFault } from './faults.ts';
import { pageHeaders } from './headers.ts';
import { mountHealth } from './health-routes.ts';
import type { ServerParts } from './parts.ts';
import { mountPhone } from './phone-routes.ts';
import { mountPlan } from './plan-routes.ts';
import { gatewayPosts } from './sms-routes.ts';

export function buildApp(parts: ServerParts): RequestListener {
  const takePost = gatewayPosts(parts);
  const pages = pagesOf(parts);
  return (request, response) => {
    if (!takePost(request, response)) pages(request, response);
  };
}

function pagesOf(parts: ServerParts): Express {
  const app = express();
  app.disable('x-powered-by');
  // Nothing here is worth asking "has it changed": pages are never kept, and hashing each answer costs time.
  app.disable('etag');
  app.set('query parser', 'simple');
  app.set('trust proxy', parts.settings.trustProxy);
  mountAssets(app);
  app.use(pageHeaders(parts.settings.publicUrl?.startsWith('https:') ?? false));
  mountHealth(app, parts);
  app.get('/', (_request, response) => response.redirect(302, '/chat'));
  mountChat(app, parts);
  mountPhone(app, parts);
  mountPlan(app, parts);
  mountDuty(app, parts);
  app.use(notFound(parts.words));
  app.use(sayFault(parts));
  return app;
}
