import { Home } from './ui/home'

export default function HomePage() {
  return <Home />
}
