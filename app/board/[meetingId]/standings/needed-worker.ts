import { answerQuestions } from '@/app/threads/answer-questions'
import { neededFor } from '@/lib/standings/needed'
import type { NeededFound, NeededOrder, NeededTasks } from './needed-messages'

answerQuestions<NeededTasks>({ needed: neededSteps })

/** What is needed, one question after the other; each answer is told as soon as it is there. */
function* neededSteps(order: NeededOrder): Generator<NeededFound, NeededFound> {
  const found = new Map<string, ReturnType<typeof neededFor>>()
  for (const { id, question } of order) {
    found.set(id, neededFor(question))
    if (found.size < order.length) yield found
  }
  return found
}
