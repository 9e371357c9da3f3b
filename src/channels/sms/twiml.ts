// Writes the answer to an inbound text as TwiML: one <Message> a text, each with a callback that names its line.
import { foldForSms } from '../../wording/fold.ts';
import { reportUrl } from './report-url.ts';

/** Not allowed in XML 1.0 in any form, escaped or not (W3C, XML 1.0 fifth edition, production 2 "Char"). */
const NOT_XML = /[^\t\n\r\u{20}-\u{D7FF}\u{E000}-\u{FFFD}\u{10000}-\u{10FFFF}]/gu;
const ESCAPES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  // A bare carriage return would be read back as a line feed.
  '\r': '&#13;',
};

/** `statusUrl` without its query. No texts give an empty response: nothing is sent. */
export function writeTwiml(texts: readonly { line: number; text: string }[], statusUrl: string): string {
  const messages = texts.map(({ line, text }) => {
    const callback = escapeXml(reportUrl(statusUrl, line));
    return `<Message statusCallback="${callback}">${escapeXml(foldForSms(text))}</Message>`;
  });
  return `<?xml version="1.0" encoding="UTF-8"?><Response>${messages.join('')}</Response>`;
}

function escapeXml(text: string): string {
  return text.replace(NOT_XML, '').replace(/[&<>"\r]/g, (sign) => ESCAPES[sign]!);
}
