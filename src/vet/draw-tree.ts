// The question tree as a drawing: questions as boxes, and what leads from one to the next. The answers stand in the table.
import { instance, type Graph } from '@viz-js/viz';
import type { Protocol } from '../care/protocol.ts';
import type { Branch } from '../dialogue/flow.ts';
import { said, sampleCase } from './sample-case.ts';

/** Letters to a line of a box. */
const WIDTH = 24;

/** An SVG drawing of the whole tree, with its questions in a language. */
export async function drawTree(protocol: Protocol, language: string): Promise<string> {
  const viz = await instance();
  return viz.renderString(graphOf(protocol, language), { format: 'svg' });
}

export function graphOf(protocol: Protocol, language: string): Graph {
  const { flow } = protocol;
  const of = sampleCase(protocol, language);
  const asks = (id: string) =>
    said(of, { ask: id }, protocol, language)
      .map(({ text }) => text)
      .join('\n');
  return {
    directed: true,
    graphAttributes: { ranksep: 0.35, nodesep: 0.2 },
    // Letters of one width: the boxes are measured without the reader's fonts, and must fit them all the same.
    nodeAttributes: { fontname: 'Courier', fontsize: 10, shape: 'box' },
    edgeAttributes: { fontname: 'Courier', fontsize: 9, arrowsize: 0.6 },
    nodes: [...flow.branches.keys()].map((name) => ({
      name,
      attributes: flow.questions.has(name)
        ? { label: lines(`[${name}]\n${asks(name).split('\n')[0]}`), fontsize: 14 }
        : { label: plain(name), shape: name === flow.end ? 'doublecircle' : 'diamond' },
    })),
    edges: [...flow.branches].flatMap(([tail, branches]) =>
      branches.map((branch) => ({ tail, head: branch.go, attributes: { label: lines(conditions(branch)) } })),
    ),
  };
}

function conditions({ when, 'moves-on': movesOn }: Branch): string {
  const named = Object.entries(when ?? {}).map(([what, wanted]) =>
    Array.isArray(wanted) ? `${what}: ${wanted.join(', ')}` : what,
  );
  return [...named, ...(movesOn ? ['next place'] : [])].join('\n');
}

/** Left-aligned lines, broken between words. */
function lines(text: string): string {
  return text
    .split('\n')
    .flatMap(broken)
    .map((line) => `${plain(line)}\\l`)
    .join('');
}

function broken(line: string): string[] {
  const out: string[] = [];
  for (const word of line.split(' ')) {
    const last = out.at(-1);
    if (last !== undefined && last.length + word.length < WIDTH) out[out.length - 1] = `${last} ${word}`;
    else out.push(word);
  }
  return out.filter((each) => each !== '');
}

/** A backslash has a meaning of its own in a label. */
function plain(text: string): string {
  return text.replaceAll('\\', '\\\\');
}
