import { SEASON_SIDES, type SeasonFilter, type SeasonSide } from '@/lib/season'
import type { SeasonQuestion } from './season-messages'

/** So many runs are listed at first, and more by so many. */
export const PAGE = 40

/** What the address asks for: `?find=loose+on+entry&car=rook&by=track&a=…&b=…&most=80`. */
export function questionIn(params: Pick<URLSearchParams, 'get'>): SeasonQuestion {
  const filter: Partial<Record<SeasonSide, string>> = {}
  for (const side of SEASON_SIDES) {
    const id = params.get(side)
    if (id) filter[side] = id
  }
  const by = params.get('by')
  const most = Number(params.get('most'))
  return {
    filter,
    search: params.get('find') ?? '',
    side: SEASON_SIDES.find((s) => s === by) ?? 'car',
    most: Number.isInteger(most) && most > PAGE ? Math.min(most, 10_000) : PAGE,
    pair: [params.get('a'), params.get('b')],
  }
}

export function addressOf({ filter, search, side, most, pair: [a, b] }: SeasonQuestion): string {
  const params = new URLSearchParams()
  const put = (key: string, value: string | null | undefined) => {
    if (value) params.set(key, value)
  }
  put('find', search)
  for (const s of SEASON_SIDES) put(s, filter[s])
  put('by', side === 'car' ? null : side)
  put('most', most > PAGE ? String(most) : null)
  put('a', a)
  put('b', b)
  const text = params.toString()
  return text === '' ? '' : `?${text}`
}

/** The same without the rest that lies below: another filter begins at the top. */
export const withFilter = (question: SeasonQuestion, side: SeasonSide, id: string | null): SeasonQuestion => {
  const { [side]: _, ...rest } = question.filter
  const filter: SeasonFilter = id === null ? rest : { ...rest, [side]: id }
  return { ...question, filter, most: PAGE }
}
