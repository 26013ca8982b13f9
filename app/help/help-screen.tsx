import { Caution, FactMark, MarkShape, Ticket, TicketBody, TicketHead } from '../ui'
import { FACT_MEANINGS, ROLE_MEANINGS, WORDS } from './words'

/** What the words and marks mean, who may do what, what works without network, and the cautions. */
export function HelpScreen() {
  return (
    <div className="page">
      <h1>Help</h1>
      <div className="grid gap-4 lg:grid-cols-2 items-start">
        <Ticket>
          <TicketHead title="The words" />
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
                  <FactMark state="yes" /> filled: it is so
                </li>
                <li className="flex items-center gap-3">
                  <FactMark state="no" /> hollow: not yet
                </li>
                <li className="flex items-center gap-3 text-hot">
                  <FactMark state="void" /> struck: it was so, and something changed since
                </li>
              </ul>
            </TicketBody>
          </Ticket>
          <Ticket>
            <TicketHead title="Saved, and not yet" />
            <TicketBody>
              <p>
                <MarkShape mark="phone" /> The value is only on this phone. It goes out by itself as soon as
                the server answers; until then nobody else sees it.
              </p>
              <p>
                <MarkShape mark="saved" /> A short bar: the value is on the server’s disk and stays there,
                whatever happens to this phone or to the server a moment later.
              </p>
              <p>
                Without network, work on. Keep the page open, or over HTTPS (and on the serving machine
                itself) reload it as you like. A change that the board does not take comes back to you as a
                draft, with the reason.
              </p>
            </TicketBody>
          </Ticket>
        </div>
        <Ticket>
          <TicketHead title="Who may do what" />
          <dl className="ruled">
            {ROLE_MEANINGS.map(({ role, may }) => (
              <div key={role} className="grid gap-x-4 px-[var(--gutter)] py-2 sm:grid-cols-[8rem_1fr]">
                <dt className="font-bold">{role}</dt>
                <dd>{may}</dd>
              </div>
            ))}
          </dl>
        </Ticket>
        <Ticket>
          <TicketHead title="With the keyboard" />
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
              A figure with a ± is projected: worked out from what the board knows, and no better than its
              inputs. A measured one has none, and says who took it and when.
            </p>
            <p>
              Times carry the ± of the day’s drift. Stamp a heat’s start or finish once, on any phone, and
              every later time moves.
            </p>
          </TicketBody>
        </Ticket>
      </div>
    </div>
  )
}

const KEYS = [
  { keys: ['/'], does: 'opens the command list, as does Ctrl K: type a car, a place, an act' },
  { keys: ['Ctrl', 'Z'], does: 'takes back what this phone did last' },
  { keys: ['↑', '↓', '←', '→'], does: 'walk through tables and lists' },
  { keys: ['Enter'], does: 'opens or does what is marked' },
  { keys: ['Space'], does: 'held down, accepts like a thumb' },
  { keys: ['Esc'], does: 'closes what is open' },
] as const
