import { Offers, wayIn, type Surroundings, type Way } from './install.ts'

/** The app's place on the home screen, watched from the start. */
class Home {
  way = $state<Way>('none')
  readonly #offers = new Offers()

  start(): void {
    this.#look()
    this.#offers.watch(window, () => this.#look())
  }

  async ask(): Promise<void> {
    await this.#offers.take()
    this.#look()
  }

  #look(): void {
    this.way = wayIn(window as unknown as Surroundings, this.#offers.open)
  }
}

export const home = new Home()
