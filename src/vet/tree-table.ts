// The question tree as a table: every answer, what it establishes, and what is asked next. The drawing gives the shape of
// it, this the letter.
import type { Protocol } from '../care/protocol.ts';
import type { Answer, Branch, Establishes, Part } from '../dialogue/flow.ts';
import { html, type Markup } from '../wording/markup.ts';
import { said, sampleCase } from './sample-case.ts';

/** One block a question, in the order of the file, with its text in a language. */
export function treeTable(protocol: Protocol, language: string): Markup {
  const { flow } = protocol;
  const of = sampleCase(protocol, language);
  const later = [...flow.later.values()].map((question) => ({ question, branches: [] as Branch[] }));
  const asked = [...flow.questions.values()].map((question) => ({
    question,
    branches: flow.branches.get(question.id) ?? [],
  }));
  const silent = [...flow.branches].filter(([name]) => !flow.questions.has(name) && name !== flow.end);
  return html`<table>
      <tr>
        <th>question</th>
        <th>answers, and what each establishes</th>
        <th>next</th>
      </tr>
      ${[...asked, ...later].map(
        ({ question, branches }) =>
          html`<tr>
            <td lang="${language}" dir="${protocol.words.direction(language)}">
              <strong>${question.id}</strong>
              ${said(of, { ask: question.id }, protocol, language).map(({ text }) => html`<p class="text">${text}</p>`)}
            </td>
            <td>${question.parts.map(partList)}</td>
            <td>${branches.length > 0 ? ways(branches) : 'after the plan'}</td>
          </tr>`,
      )}
    </table>
    <p>Where nothing is asked:</p>
    <table>
      ${silent.map(
        ([name, branches]) =>
          html`<tr>
            <th>${name}</th>
            <td>${ways(branches)}</td>
          </tr>`,
      )}
    </table>`;
}

function partList(part: Part): Markup {
  const rest = [
    ...(part.unsure ? [{ name: 'not sure', does: part.unsure }] : []),
    ...(part.otherwise ? [{ name: 'not told', does: part.otherwise }] : []),
  ];
  return html`<ul>
    ${part.answers.map((answer) => html`<li>${nameOf(answer)}: ${doesWhat(answer)}</li>`)}
    ${rest.map(({ name, does }) => html`<li>${name}: ${doesWhat(does)}</li>`)}
  </ul>`;
}

function nameOf({ n, id }: Answer): string {
  return n === undefined ? id : `${n} ${id}`;
}

function doesWhat({ sets, raises }: Establishes): string {
  const { site, ...limb } = sets ?? {};
  const told = [...Object.entries(limb), ...Object.entries(site ?? {})].map(
    ([name, value]) => `${name} ${Array.isArray(value) ? value.join(' + ') : String(value)}`,
  );
  return [...told, ...(raises ?? []).map((key) => `raises ${key}`)].join(', ') || 'nothing';
}

function ways(branches: readonly Branch[]): Markup {
  return html`<ul>
    ${branches.map(({ when, go, 'moves-on': movesOn }) => {
      const terms = Object.entries(when ?? {}).map(
        ([what, wanted]) => `${what} ${Array.isArray(wanted) ? wanted.join(' or ') : String(wanted)}`,
      );
      const to = `${go}${movesOn ? ', next place' : ''}`;
      return html`<li>${terms.length > 0 ? `${terms.join(' and ')}: ${to}` : to}</li>`;
    })}
  </ul>`;
}
