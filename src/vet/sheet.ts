// The sign-off sheet: one page to print, with the tree, every plan, its numbers, sources and words, what is open, and
// room for a signature. All of a version that a keeper puts their name to.
import type { Protocol } from '../care/protocol.ts';
import type { Decision, DiagnosisCode, Source } from '../clinical/rule-types.ts';
import { signedInWords } from '../clinical/signature.ts';
import type { SourceFile } from '../model.ts';
import { doubtsOf } from './doubts.ts';
import { drawTree } from './draw-tree.ts';
import { html, type Markup } from '../wording/markup.ts';
import { pairPlans, pairTable } from './paired-plans.ts';
import { picture } from './picture.ts';
import { planBlocks } from './sheet-plans.ts';
import { circulationTable, everythingSaid, watchTable } from './sheet-watch.ts';
import { table } from './table.ts';
import { treeTable } from './tree-table.ts';
import { plansOfTree, type PlannedLimb } from './vet.ts';
import { walk } from './walk.ts';

/** Without quotes and angle brackets, which would be escaped. */
const STYLE = `
  @page { size: A4; margin: 15mm }
  body { font: 9pt/1.3 system-ui, sans-serif; color: #000; background: #fff; max-width: 60em; margin: 1em auto; padding: 0 1em }
  h1, h2, h3 { line-height: 1.2 } h2 { break-before: page } h2 + p { break-after: avoid }
  table { border-collapse: collapse; width: 100% } tr { break-inside: avoid }
  th, td { border: 1px solid #999; padding: .2em .4em; text-align: start; vertical-align: top }
  img { max-width: 100%; height: auto }
  .plan { display: flow-root; border-top: 1px solid #999; margin: 1em 0 }
  .plan img { width: 15em; float: inline-end; margin: 0 0 .5em 1em }
  .plan table { width: auto } .plan th, .plan td { padding: 0 .4em }
  .plan p, .plan ul, .plan ol { margin: .3em 0 } .plan .texts { font-size: 8.5pt } .plan .for { font-weight: bold; break-after: avoid } .plan h3, .plan img, .plan table { break-inside: avoid; break-after: avoid }
  .pairs { font-size: 7pt } .pairs th, .pairs td { padding: 0 .15em; text-align: center }
  @page tree { size: A3; margin: 12mm } .tree { page: tree } .tree img { width: 100%; max-height: 37cm }
  @media print { body { max-width: none; margin: 0; padding: 0 } }
  td + td .text, li p { margin: .1em 0 } table { margin-block: .6em }
  .text { white-space: pre-line; margin: .2em 0 }
  td ul { margin: 0; padding-inline-start: 1.2em }
  .sign { break-inside: avoid } .sign td { height: 4em; width: 33% }
`;

/** The whole page, with nothing to load. */
export async function signOffSheet(
  protocol: Protocol,
  files: readonly SourceFile[],
  language: string,
): Promise<string> {
  const { version, rules, flow, machine, words } = protocol;
  const plans = plansOfTree(protocol, walk(flow, machine)).filter(isOfOnePlace);
  const pairs = pairPlans(protocol, plans);
  const tree = await drawTree(protocol, language);
  const reviewed = words.review(language).reviewed;
  return html`<!doctype html>
    <html lang="en">
      <meta charset="utf-8" />
      <meta name="viewport" content="width=device-width,initial-scale=1" />
      <title>Palmward, protocol ${version}: sign-off sheet</title>
      <style>
        ${STYLE}
      </style>
      <body>
        <h1>Palmward: protocol version ${version}</h1>
        <p>
          State: ${signedInWords(protocol.signature)}. Texts in ${words.review(language).name} (${language}),
          ${reviewed ? 'reviewed' : 'not reviewed by a clinician'}.
        </p>
        <p>
          First aid by text message for a hurt hand, wrist or forearm. Whoever signs has read the tree, the
          plans, the numbers and the words on this sheet, and takes what is listed as open for good enough to
          be served.
        </p>
        <h2>Questions</h2>
        <div class="tree">
          ${picture(tree, 'The question tree: every question with its answers, and what leads from one to the next')}
        </div>
        <h2>Questions, answer by answer</h2>
        ${treeTable(protocol, language)}
        <h2>Plans for one hurt place</h2>
        <p>
          Degrees: "flexion" bends toward the palm; a negative number is the other way. Several hurt places
          are computed from these: each joint's ranges are intersected, and where nothing is left the hand
          stays as it lies and a clinician is called now.
        </p>
        ${planBlocks(plans, protocol, language)}
        <h2>Plans for two hurt places</h2>
        ${pairTable(pairs)}
        <h3>The narrowed ones</h3>
        ${planBlocks(pairs.narrowed, protocol, language)}
        <h2>Circulation and watch</h2>
        ${circulationTable(files)} ${watchTable(files)}
        <h2>Everything else that is said</h2>
        <p>As the catalogue has it; in double braces is what is filled in.</p>
        ${everythingSaid(files, protocol, language)}
        <h2>Where sources disagree, and what was decided</h2>
        ${decisionTable(rules.decisions)}
        <h2>What the handover calls an injury in ICD-10</h2>
        ${codeTable(rules.codes)}
        <h2>Open: numbers that nobody of this project has seen in print</h2>
        ${doubtTable(files, rules.sources)}
        <h2>Sources</h2>
        ${sourceTable(rules.sources)}
        <h2>Signature</h2>
        ${signatureBox(version)}
      </body>
    </html>`.markup;
}

// One hurt place, of one finger or of all that it can be: plans of two or three fingers only repeat these.
function isOfOnePlace({ limb }: PlannedLimb): boolean {
  const fingers = limb.sites[0]?.digits?.length ?? 0;
  return limb.sites.length === 1 && (fingers <= 1 || fingers >= 4);
}

function decisionTable(decisions: readonly Decision[]): Markup {
  return table(
    ['question', 'found', 'decided', 'because', 'sources'],
    decisions.map(({ asks, found, decided, because, source }) => [
      asks,
      found,
      decided,
      because,
      source.join(', '),
    ]),
  );
}

function codeTable(codes: readonly DiagnosisCode[]): Markup {
  return table(
    ['rows', 'where', 'code', 'title', 'sources'],
    codes.map(({ rows, region, digits, code, title, source }) => [
      rows.join(', '),
      [...(region ?? []), ...(digits ?? [])].join(', ') || 'anywhere',
      code,
      title,
      source.join(', '),
    ]),
  );
}

function doubtTable(files: readonly SourceFile[], sources: Readonly<Record<string, Source>>): Markup {
  return table(
    ['where', 'what it says', 'rests on', 'seen besides'],
    doubtsOf(files, sources).map(({ where, says, doubtful, seen }) => [
      where,
      says,
      doubtful.join(', '),
      seen.join(', '),
    ]),
  );
}

function sourceTable(sources: Readonly<Record<string, Source>>): Markup {
  return table(
    ['key', 'what it is', 'seen', 'note'],
    Object.entries(sources).map(([key, source]) => [
      key,
      [source.authors, source.title, source.publisher, source.year]
        .filter((each) => each !== undefined)
        .join(', '),
      source.kind === 'published' ? (source.seen ? 'yes' : 'NO') : source.kind,
      source.note ?? '',
    ]),
  );
}

function signatureBox(version: string): Markup {
  return html`<table class="sign">
      <tr>
        <th>Name and licence</th>
        <th>Date</th>
        <th>Signature</th>
      </tr>
      <tr>
        <td></td>
        <td></td>
        <td></td>
      </tr>
    </table>
    <p>
      Then write <code>flows/signature.yaml</code>, three lines: <code>version: '${version}'</code>,
      <code>by: NAME</code>, <code>on: 'YEAR-MONTH-DAY'</code>. Any change to <code>flows/</code> or
      <code>locales/</code> makes another version, which is unsigned again.
    </p>`;
}
