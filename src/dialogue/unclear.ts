// Why a text could not be taken as an answer; each has one clear short text in the catalogue.

export type Unclear =
  | 'empty'
  | 'too-long'
  | 'picture'
  | 'no-such-option'
  | 'not-sure-here'
  | 'one-only'
  | 'not-both'
  | 'part-missing'
  | 'cannot-be'
  | 'zero'
  | 'not-on-yet'
  | 'nothing-asked'
  | 'before'
  | 'negated'
  | 'unread';
