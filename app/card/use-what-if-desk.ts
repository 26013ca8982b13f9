'use client'
import type { Asked, Desk } from '@/app/threads/desk'
import { threadTrouble } from '@/app/threads/thread-trouble'
import { useDesk } from '@/app/threads/use-desk'
import type { WhatIfTasks } from './what-if-messages'

export type WhatIfDesk = Desk<WhatIfTasks>
export type WhatIfState<K extends keyof WhatIfTasks> = Asked<WhatIfTasks[K]['answer']>

/** The simulator's thread for one screen's questions. */
export const useWhatIfDesk = (): WhatIfDesk =>
  useDesk<WhatIfTasks>('what-if', { words: (gone) => threadTrouble('simulator', gone) })
