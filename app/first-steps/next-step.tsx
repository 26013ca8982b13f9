'use client'
import { usePathname } from 'next/navigation'
import { useBoard, useSession } from '@/app/sync'
import { Link } from '@/app/ui'
import { firstSteps } from './first-steps-of'
import { usePutAway } from './use-first-steps'

/** The next of the first steps, on the pages where they are done: nobody has to go home for it. Only what the kit itself says is missing. */
export function NextStep() {
  const { role } = useSession()
  const [isAway] = usePutAway()
  const view = useBoard()
  const path = usePathname()
  if (role !== 'manager' || isAway) return null
  const next = firstSteps(view, { heats: 1, others: 1 }).find((s) => !s.isDone && s.href !== '')
  if (!next || next.href === path) return null
  return (
    <p className="no-print">
      Next step:{' '}
      <Link href={next.href} className="inline-flex items-center min-h-[var(--target)]">
        {next.act}
      </Link>
    </p>
  )
}
