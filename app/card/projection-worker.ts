import { answerEverywhere } from '@/app/threads/answer-questions'
import { lapProjections } from '@/lib/card/projections/projections-lap'
import { lapParts } from './lap-parts'

/** The simulator's thread: the screen never waits for it. */
answerEverywhere((ground: string) => lapParts(lapProjections, ground))
