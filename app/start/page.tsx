import { StartScreen } from './start-screen'

/** What the icon on a phone opens. */
export default function StartPage() {
  return <StartScreen />
}
