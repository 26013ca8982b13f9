import type { TrackSegment } from '@/lib/board'

/** What a piece is called in messages: by its number in the list, and by its own name where it has one. */
export const pieceName = (name: string, kind: TrackSegment['kind'], index: number): string =>
  `${index + 1} ${name || (kind === 'straight' ? 'Straight' : 'Corner')}`
