import { choiceWord } from '@/app/words/choice-words'
import { COMMON_PRACTICE, joined, NOTE, type KitSection } from './kit-section'

/** What drivers say, and what is tried first when they do. */
export const WORD_SECTIONS: readonly KitSection[] = [
  {
    slug: 'words',
    collection: 'handlingWords',
    label: 'Handling words',
    one: 'word',
    about:
      'What your drivers say of a car. They pick from this list after a run, with the place on the track.',
    newFields: [{ field: 'name', isRequired: true }, { field: 'note' }],
    detail: (v, id) => v.handlingWords.get(id)?.note ?? '',
    groups: [
      {
        fields: [
          { field: 'name', isRequired: true },
          { field: 'note', wide: true },
        ],
      },
    ],
  },
  {
    slug: 'thumb',
    collection: 'rulesOfThumb',
    label: 'Rules of thumb',
    one: 'rule',
    about:
      'What you try first when a driver says so. A card shows those that answer its last run, with how often they worked here. Those there from the start are common practice, no more.',
    newFields: [
      { field: 'name', isRequired: true },
      { field: 'wordId' },
      { field: 'parameter' },
      { field: 'direction' },
    ],
    detail: (v, id) => {
      const rule = v.rulesOfThumb.get(id)
      return joined(
        v.handlingWords.get(rule?.wordId)?.name,
        rule?.parameter && `${choiceWord(rule.parameter, 'parameter')} ${rule.direction ?? ''}`.trim(),
        rule?.isCommonPractice && 'common practice',
      )
    },
    groups: [
      {
        fields: [
          { field: 'name', isRequired: true },
          { field: 'wordId', none: 'Any' },
          { field: 'parameter', hint: 'The value that is changed. Runs in which it changed are counted.' },
          { field: 'direction' },
          COMMON_PRACTICE,
        ],
      },
      NOTE,
    ],
  },
]
