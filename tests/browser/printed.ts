// A page as it comes out of a printer: how many sheets of what size, and their words as read back from the PDF.
import { getDocument } from 'pdfjs-dist/legacy/build/pdf.mjs';
import type { Page } from 'playwright-core';

export interface Printed {
  pages: number;
  /** In points. */
  size: number[];
  words: string;
}

export async function print(page: Page): Promise<Printed> {
  const data = new Uint8Array(await page.pdf({ preferCSSPageSize: true }));
  const document = await getDocument({ data, verbosity: 0 }).promise;
  const words: string[] = [];
  const [, , ...size] = (await document.getPage(1)).view.map(Math.round);
  for (let number = 1; number <= document.numPages; number += 1) {
    const { items } = await (await document.getPage(number)).getTextContent();
    words.push(...items.map((item) => ('str' in item ? item.str : '')));
  }
  // Ligatures come apart in a PDF: "fi rst".
  return {
    pages: document.numPages,
    size,
    words: words
      .join(' ')
      .replace(/\s+/g, ' ')
      .replace(/\b(fi|fl) /g, '$1'),
  };
}
