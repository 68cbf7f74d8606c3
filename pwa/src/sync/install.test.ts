import { describe, expect, it } from 'vitest'
import { Offers, wayIn, type Surroundings } from './install.ts'

function place(navigator: Surroundings['navigator'], mode = 'browser', isSecureContext = true): Surroundings {
  return { isSecureContext, navigator, matchMedia: (query) => ({ matches: query === `(display-mode: ${mode})` }) }
}

describe('the way to the home screen', () => {
  it.each([
    ['a phone whose app stands there', place({ maxTouchPoints: 5 }, 'standalone'), true, 'installed'],
    ['one that says so by its own field', place({ standalone: true, maxTouchPoints: 5 }), false, 'installed'],
    ['one whose browser offers it', place({ maxTouchPoints: 5 }), true, 'offered'],
    ['one whose browser has it in its menu', place({ maxTouchPoints: 5 }), false, 'menu'],
    ['one whose browser has it in the share sheet', place({ standalone: false, maxTouchPoints: 5 }), false, 'share'],
    ['a computer that offers it', place({ maxTouchPoints: 0 }), true, 'offered'],
    ['a computer that does not', place({}), false, 'none'],
    ['an address that is not protected', place({ maxTouchPoints: 5 }, 'browser', false), true, 'unsafe'],
  ] as const)('of %s', (_, where, offered, way) => expect(wayIn(where, offered)).toBe(way))

  it('is offered once: caught when it comes, used up when it is taken', async () => {
    const [target, offers] = [new EventTarget(), new Offers()]
    const seen: boolean[] = []
    offers.watch(target, () => seen.push(offers.open))
    let asked = 0
    const offer = Object.assign(new Event('beforeinstallprompt', { cancelable: true }), { prompt: async () => void (asked += 1) })
    target.dispatchEvent(offer)
    expect([offer.defaultPrevented, offers.open]).toEqual([true, true])
    await offers.take()
    await offers.take()
    expect([asked, offers.open]).toEqual([1, false])
    target.dispatchEvent(new Event('appinstalled'))
    expect(seen).toEqual([true, false])
  })
})
