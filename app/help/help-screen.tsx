import { Caution, FactMark, MarkShape, Ticket, TicketBody, TicketHead } from '@/app/ui'
import { CopyHelp } from './copy-help'
import { PaperHelp } from './paper-help'
import { PhoneHelp } from './phone-help'
import { FACT_MEANINGS, ROLE_MEANINGS, WORDS } from './words'

/** What the words and marks mean, who may do what, what works without network, and the cautions. */
export function HelpScreen() {
  return (
    <div className="page">
      <h1>Help</h1>
      <div className="grid gap-4 lg:grid-cols-2 items-start">
        <Ticket>
          <TicketHead title="What the words mean" />
          <dl className="ruled">
            {WORDS.map(({ word, meaning }) => (
              <div key={word} className="grid gap-x-4 px-[var(--gutter)] py-2 sm:grid-cols-[8rem_1fr]">
                <dt className="font-bold">{word}</dt>
                <dd>{meaning}</dd>
              </div>
            ))}
          </dl>
        </Ticket>
        <div className="grid gap-4">
          <Ticket>
            <TicketHead title="The six facts" sub="On every run, always in this order" />
            <dl className="ruled">
              {FACT_MEANINGS.map(({ fact, meaning }) => (
                <div key={fact} className="grid gap-x-4 px-[var(--gutter)] py-2 sm:grid-cols-[8rem_1fr]">
                  <dt className="font-bold">{fact}</dt>
                  <dd>{meaning}</dd>
                </div>
              ))}
            </dl>
            <TicketBody>
              <ul className="grid gap-2 [&_.fact-mark]:w-8 [&_.fact-mark]:h-3">
                <li className="flex items-center gap-3">
                  <FactMark state="yes" /> filled: done
                </li>
                <li className="flex items-center gap-3">
                  <FactMark state="no" /> hollow: not yet
                </li>
                <li className="flex items-center gap-3 text-hot">
                  <FactMark state="void" /> struck: it was done, and something changed since
                </li>
              </ul>
            </TicketBody>
          </Ticket>
          <Ticket>
            <TicketHead title="Saved and not saved yet" />
            <TicketBody>
              <p>
                <MarkShape mark="phone" /> The value is only on this phone. It is sent as soon as the server
                answers. Until then nobody else sees it.
              </p>
              <p>
                <MarkShape mark="saved" /> A small ring: the value is saved on the server’s disk. It stays
                there, whatever happens to this phone or the server.
              </p>
              <p>
                Without a network, keep working. Keep the page open; over HTTPS, or on the machine that runs
                the board, you can also reload it. A refused change comes back to you as a draft, with the
                reason.
              </p>
            </TicketBody>
          </Ticket>
        </div>
        <Ticket>
          <TicketHead title="Who can do what" />
          <dl className="ruled">
            {ROLE_MEANINGS.map(({ role, may }) => (
              <div key={role} className="grid gap-x-4 px-[var(--gutter)] py-2 sm:grid-cols-[8rem_1fr]">
                <dt className="font-bold">{role}</dt>
                <dd>{may}</dd>
              </div>
            ))}
          </dl>
        </Ticket>
        <PhoneHelp />
        <Ticket>
          <TicketHead title="Keyboard" />
          <dl className="ruled">
            {KEYS.map(({ keys, does }) => (
              <div key={does} className="grid gap-x-4 px-[var(--gutter)] py-2 sm:grid-cols-[8rem_1fr]">
                <dt>
                  {keys.map((k) => (
                    <kbd key={k} className="mr-1">
                      {k}
                    </kbd>
                  ))}
                </dt>
                <dd>{does}</dd>
              </div>
            ))}
          </dl>
        </Ticket>
        <Ticket>
          <TicketHead title="Season" />
          <TicketBody>
            <p>
              Season has every run of every meeting: find words, values, names and places, filter, group, and
              put any two runs beside each other. “Keep on this phone” has a past meeting and its debriefs
              ready without a network.
            </p>
          </TicketBody>
        </Ticket>
        <Ticket>
          <TicketHead title="Debrief" />
          <TicketBody>
            <p>
              Each run that is over has a debrief: one tap from its row in the order, its card, or its staging
              view. Several people fill it at once, and each line says who entered it and when. What was
              missing when you opened the sheet comes first.
            </p>
            <p>
              The driver answers three questions: how was it, where, what next. Only the car’s driver or a
              manager writes these.
            </p>
            <p>
              Read the can right after the finish: it loses degrees by the minute, so the minutes are saved
              with the reading. “It is full” under “Off charge” in the plan saves what the charger put back
              with the run that the pack came out of, unless an earlier part of the charge has no figure.
            </p>
            <p>
              Paste or drop a result list or lap list for a heat or a whole round: rows with laps and time, or
              laps in a column for each car, a row for each lap, a column for each lap, or one cell. You see
              every row before anything is saved. A corrected list changes results and laps, and nothing else.
            </p>
            <p>
              Mark a lap as a crash or as traffic, held up by other cars, and it stays in the list, but no
              longer counts for the mean, the median and the spread.
            </p>
            <p>
              Photos of the car or the tires go with the run too. “A car’s story” has all runs of a car in one
              table, and any two side by side. Your rules of thumb, under “Next change”, name what tends to
              help with the words that the driver used.
            </p>
          </TicketBody>
        </Ticket>
        <Ticket>
          <TicketHead title="Standings" />
          <TicketBody>
            <p>
              Import result lists of whole heats, and Standings show where everybody in a class stands, which
              rounds count, and why a tie was broken. A manager sets the class’s rules there. “What is needed”
              says which result still reaches a place or a final, and what it assumes of the others.
            </p>
          </TicketBody>
        </Ticket>
        <CopyHelp />
        <PaperHelp />
        <Ticket>
          <TicketHead title="Files" />
          <TicketBody>
            <p>
              Kit and Meeting setup lead to Files. Every list opens in a spreadsheet; change it there, import
              it again, and see each change before it is written. Keep the first column: it says which row is
              which.
            </p>
            <p>
              A manager can save a meeting or the whole team as one archive, with photos and history, and
              import it into another board. Nothing is written before you have seen what is new, changed, or
              different on both sides. It holds no codes: phones join there with new ones.
            </p>
          </TicketBody>
        </Ticket>
        <Ticket tone="hot">
          <TicketHead title="Where hands get hurt" />
          <TicketBody>
            <Caution kind="pack" />
            <Caution kind="can" />
            <Caution kind="wheels" />
          </TicketBody>
        </Ticket>
        <Ticket>
          <TicketHead title="Measured and projected" />
          <TicketBody>
            <p>
              A figure with a ± is projected from what the board knows. It is no better than its inputs. A
              measured figure has no ±, and says who measured it and when.
            </p>
            <p>
              What you enter after a run narrows the ± of that car at once, on every phone. A figure says on
              how many runs it rests. “What the runs taught” on the card shows each run, what it moved, and
              what was set aside; forget a run there, or put it back.
            </p>
            <p>
              “Next change” tries the card’s own values within their ranges and names one only where it brings
              more than its own ±. Try it, or propose it. Mostly there is nothing to suggest.
            </p>
            <p>
              In practice, “A or B” under Tools says which of two setups to drive next and whether one is
              faster.
            </p>
            <p>
              The ± on a time comes from how the day has run so far. Stamp a heat’s start or finish once, on
              any phone, and every later time moves.
            </p>
          </TicketBody>
        </Ticket>
      </div>
    </div>
  )
}

const KEYS = [
  { keys: ['/'], does: 'opens the command list, like Ctrl K. Type a car, a place or an action' },
  { keys: ['Ctrl', 'Z'], does: 'undoes the last change on this phone' },
  { keys: ['↑', '↓', '←', '→'], does: 'move through tables and lists' },
  { keys: ['Enter'], does: 'opens or does what is selected' },
  { keys: ['Space'], does: 'hold to accept' },
  { keys: ['Esc'], does: 'closes what is open' },
] as const
