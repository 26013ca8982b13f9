import { LinkButton } from '@/app/ui/button'
import { Empty } from '@/app/ui/panels'

export default function NotFound() {
  return (
    <div className="page page-narrow">
      <Empty title="Nothing at this address" level={1} acts={<LinkButton href="/">All meetings</LinkButton>}>
        <p>The link may be cut off, or the page was removed.</p>
      </Empty>
    </div>
  )
}
