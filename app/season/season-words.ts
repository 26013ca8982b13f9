import type { SeasonWords } from '@/lib/season'
import { choiceWord } from '@/app/words/choice-words'
import { remarkText } from '@/app/words/debrief-words'

/** What the screens call what runs have as codes. */
export const seasonWords: SeasonWords = {
  remark: remarkText,
  surface: (surface) => choiceWord(surface),
  parameter: (id) => choiceWord(id),
}
