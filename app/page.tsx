import { Home } from '@/app/ui/home'

export default function HomePage() {
  return <Home />
}
