import { Ticket, TicketHead } from '@/app/ui'

const SHEETS = [
  {
    sheet: 'Setup card',
    paper: 'A5',
    what: '“Print” on the card: what is assigned, what was fitted then, and a box to tick where they differ.',
  },
  {
    sheet: 'Debrief',
    paper: 'A5',
    what: '“Print” on the run’s debrief, in the order of the screen: what is known is there, the rest is lines to write on.',
  },
  {
    sheet: 'Day sheet',
    paper: 'A4',
    what: '“Day sheet to print” in Duties: calls, starts, packs, tires, hands, marshals, and room for results.',
  },
  {
    sheet: 'Standings',
    paper: 'A4',
    what: '“Print” in Standings: the class that is shown, with what is needed by the driver chosen there.',
  },
  {
    sheet: 'What is needed',
    paper: 'A4',
    what: '“Print this alone” beside it, for one of our drivers or all of ours.',
  },
  { sheet: 'A pack', paper: 'A4', what: '“Print” on the pack’s page in the kit: what is known of its life.' },
  {
    sheet: 'Labels',
    paper: 'A4',
    what: '“Labels” in the kit: stickers for packs and tire sets, whose code a phone’s camera opens.',
  },
] as const

/** Every sheet that prints: where its act is, on what paper, and what it says. */
export const PaperHelp = () => (
  <Ticket>
    <TicketHead
      title="Paper"
      sub="Ctrl P or “Print this page” in the command list does the same; a US Letter printer cuts nothing"
    />
    <dl className="ruled">
      {SHEETS.map(({ sheet, paper, what }) => (
        <div key={sheet} className="grid gap-x-4 px-[var(--gutter)] py-2 sm:grid-cols-[8rem_1fr]">
          <dt className="font-bold">
            {sheet}, {paper}
          </dt>
          <dd>{what}</dd>
        </div>
      ))}
    </dl>
  </Ticket>
)
