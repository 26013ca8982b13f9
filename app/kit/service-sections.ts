import { settingText } from '@/lib/core/setting-text'
import { choiceWord } from '@/app/words/choice-words'
import { COMMON_PRACTICE, joined, NOTE, type KitSection } from './kit-section'

/** What cars need every so often. */
export const SERVICE_SECTIONS: readonly KitSection[] = [
  {
    slug: 'service',
    collection: 'serviceRules',
    label: 'Service rules',
    one: 'service rule',
    about:
      'What parts need after so many runs or hours. Each car’s page shows what is due. Those there from the start are common practice, no more: the makers’ instructions come first.',
    newFields: [
      { field: 'name', isRequired: true, hint: 'What needs doing, as in “Rebuild the dampers”.' },
      { field: 'part' },
      { field: 'afterRuns' },
      { field: 'afterHours' },
    ],
    detail: (v, id) => {
      const rule = v.serviceRules.get(id)
      return joined(
        rule?.part && choiceWord(rule.part, 'part'),
        rule?.afterRuns !== undefined && `every ${rule.afterRuns} runs`,
        rule?.afterHours !== undefined && `every ${settingText(rule.afterHours, 'h')} run`,
        rule?.carId && v.cars.get(rule.carId)?.name,
        rule?.isCommonPractice && 'common practice',
      )
    },
    groups: [
      {
        fields: [
          { field: 'name', isRequired: true },
          { field: 'part' },
          { field: 'afterRuns', hint: 'With both, whichever comes first.' },
          { field: 'afterHours', hint: 'From the start to the finish of each heat.' },
          { field: 'carId', none: 'Every car' },
          COMMON_PRACTICE,
        ],
      },
      NOTE,
    ],
  },
]
