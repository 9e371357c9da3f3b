// The headers of every page: nothing inline, nothing from elsewhere, nothing kept by browsers, no forms from other sites.
import type { NextFunction, Request, RequestHandler, Response } from 'express';
import helmet from 'helmet';

const SELF = ["'self'"];

/** `https` says whether the world reaches us so: on a plain local network, asking browsers for https would lock people out. */
export function pageHeaders(https: boolean): RequestHandler[] {
  const guard = helmet({
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'none'"],
        objectSrc: ["'none'"],
        scriptSrc: SELF,
        styleSrc: SELF,
        connectSrc: SELF,
        imgSrc: [...SELF, 'data:'],
        manifestSrc: SELF,
        formAction: SELF,
        frameAncestors: ["'none'"],
        baseUri: ["'none'"],
      },
    },
    strictTransportSecurity: https,
    // Browsers ignore these two, with a warning, on plain http.
    crossOriginOpenerPolicy: https,
    originAgentCluster: https,
  });
  return [guard, keepNothing, refuseCrossSite];
}

function keepNothing(_request: Request, response: Response, next: NextFunction): void {
  response.setHeader('Cache-Control', 'no-store');
  next();
}

/** A form that another site sends would not carry our cookies, but could replace the session with a new one. */
function refuseCrossSite(request: Request, response: Response, next: NextFunction): void {
  const site = request.headers['sec-fetch-site'];
  const elsewhere = site === 'cross-site' || site === 'same-site';
  if (request.method !== 'POST' || !elsewhere) return next();
  response
    .status(403)
    .type('text/plain')
    .send('This form was sent from another site, so it was not taken.\n');
}
