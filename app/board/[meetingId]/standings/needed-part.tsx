'use client'
import { useMemo, useState } from 'react'
import { useDerived, useSession } from '@/app/sync'
import { Button, HelpNote, Note, SelectField, Ticket, TicketBody, TicketHead } from '@/app/ui'
import { printPart } from '@/app/ui/print-part'
import { goalsOf, standingsNow, type ClassDriver, type StandingsGoal } from '@/lib/card'
import { assumptionWords, neededWords, ordinal, type Needed } from '@/lib/standings'
import { useNeeded } from './use-needed'

/** For whom: everybody of ours in the class. */
const ALL = 'all'

/** For one of our drivers, or all of them: which results in the rounds that are left reach what. */
export function NeededPart({ classId, ours }: { classId: string; ours: readonly ClassDriver[] }) {
  const { personId } = useSession()
  const standings = useDerived(standingsNow, classId)
  const raceSeconds = useDerived((board) => board.classes.get(classId)?.raceSeconds)
  const own = useDerived((board) => ours.find((d) => board.cars.get(d.carId)?.driverId === personId)?.id)
  const [chosen, setChosen] = useState<string | null>(null)
  const one = ours.find((d) => d.id === chosen) ?? ours.find((d) => d.id === own) ?? ours[0]
  const isAll = chosen === ALL
  const asked = useMemo(() => {
    const drivers = isAll ? ours : one ? [one] : []
    return drivers.map((driver) => ({ driver, goals: goalsOf(standings, driver.id, raceSeconds) }))
  }, [standings, isAll, ours, one, raceSeconds])
  const order = useMemo(
    () =>
      asked.flatMap(({ driver, goals }) =>
        goals.map((g) => ({ id: keyOf(driver, g), question: g.question })),
      ),
    [asked],
  )
  const { found, trouble } = useNeeded(order)
  if (!one) return null
  const places = new Map(standings.qualifying.table.map((r) => [r.driver, r.place]))
  const rounds = new Map(
    [standings.qualifying, ...standings.finals].flatMap((s) => s.series.rounds.map((r) => [r.id, r.name])),
  )
  const names = new Map(standings.drivers.map((d) => [d.id, d.name]))
  const standing = (driver: ClassDriver) => {
    const place = places.get(driver.id)
    return place === undefined ? driver.name : `${driver.name}, ${ordinal(place)} after qualifying so far`
  }
  return (
    <Ticket label="What is needed">
      <TicketHead title="What is needed" sub={isAll ? 'all of ours' : standing(one)} />
      <TicketBody>
        <div className="btn-row no-print">
          {ours.length > 1 && (
            <SelectField
              label="For"
              options={[...ours.map((d) => ({ id: d.id, label: d.name })), { id: ALL, label: 'All of ours' }]}
              value={isAll ? ALL : one.id}
              onChange={setChosen}
            />
          )}
          {order.length > 0 && <Button onPress={() => printPart('needed')}>Print this alone</Button>}
          <HelpNote about="What the answers rest on">
            Every answer assumes something about the others, and says what. “If nobody else improves” means
            that each of them does no better than the weakest run that counts for them now. Where there are
            too many cases to go through, some are drawn and ± says how far the share may be off. The event’s
            officials have the last word on results and finals. It prints what you see here: of the driver
            chosen under “For”, or of all of ours.
          </HelpNote>
        </div>
        {order.length === 0 && <p>Everything is run: there is nothing left to reach here.</p>}
        {trouble && <Note tone="hot">{trouble}</Note>}
        {asked.map(({ driver, goals }) => {
          const told = goals[0] && found.get(keyOf(driver, goals[0]))
          return (
            <section key={driver.id} className="needed-driver">
              {isAll && <h3>{standing(driver)}</h3>}
              <ul className="needed">
                {goals.map((goal) => (
                  <Goal
                    key={goal.id}
                    head={isAll ? 'h4' : 'h3'}
                    goal={goal}
                    needed={found.get(keyOf(driver, goal))}
                    names={names}
                    rounds={rounds}
                  />
                ))}
              </ul>
              {told && told.state !== 'early' && (
                <p className="small">
                  {assumptionWords(told, goals[0]?.question.by ?? 'result', goals[0]?.one ?? 'round')}
                </p>
              )}
            </section>
          )
        })}
      </TicketBody>
    </Ticket>
  )
}

const keyOf = (driver: ClassDriver, goal: StandingsGoal) => `${driver.id} ${goal.id}`

function Goal({
  head: Head,
  goal,
  needed,
  names,
  rounds,
}: {
  head: 'h3' | 'h4'
  goal: StandingsGoal
  needed: Needed | undefined
  names: ReadonlyMap<string, string>
  rounds: ReadonlyMap<string, string>
}) {
  return (
    <li data-state={needed?.state}>
      <Head>{goal.label}</Head>
      {needed ? (
        neededWords(needed, {
          driver: (id) => names.get(id) ?? 'somebody',
          round: (id) => rounds.get(id) ?? 'the next one',
          goal: goal.label,
          one: goal.one,
        }).map((line) => <p key={line}>{line}</p>)
      ) : (
        <p className="small">Calculating …</p>
      )}
    </li>
  )
}
