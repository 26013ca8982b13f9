import type { BoardView, Heat } from '@/lib/board'
import { heatFirst } from '@/app/meeting/heat-in-full'

export const startWord = (view: BoardView, heat: Heat) => `${heatFirst(view, heat)} starts now`
