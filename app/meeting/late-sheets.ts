'use client'
import { lateSheet } from '@/app/ui/late-sheet'

// What a run is given and what is in or on its car: no page opens with these questions.
export const ChoosePack = lateSheet(() => import('./choose-pack').then((m) => m.ChoosePack))
export const ChooseTires = lateSheet(() => import('./choose-tires').then((m) => m.ChooseTires))
export const PackInDialog = lateSheet(() => import('./pack-in-dialog').then((m) => m.PackInDialog))
export const TiresOnDialog = lateSheet(() => import('./tires-on-dialog').then((m) => m.TiresOnDialog))
export const StandInDialog = lateSheet(() => import('./stand-in-dialog').then((m) => m.StandInDialog))
