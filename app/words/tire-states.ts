import type { TireState } from '@/lib/board'

export const TIRE_STATE_WORDS: Record<TireState, { word: string; act: string; tone?: 'hot' | 'quiet' }> = {
  new: { word: 'new', act: 'New', tone: 'quiet' },
  ready: { word: 'ready', act: 'Cleaned and ready' },
  'on-car': { word: 'on a car', act: 'On a car' },
  used: { word: 'used', act: 'Off the car, used' },
  worn: { word: 'worn', act: 'Worn, for practice only', tone: 'hot' },
}
