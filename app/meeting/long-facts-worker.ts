import { drawOrder } from '@/lib/planner/forecast/draw-order'
import { answerQuestions } from '@/app/threads/answer-questions'
import type { LongFacts } from './long-facts'

answerQuestions<LongFacts>({ draws: drawOrder })
