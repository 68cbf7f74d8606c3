import { expect, it } from 'vitest'
import { unsentWords } from './unsent-words.ts'

it.each([
  [{ unsent: 0, photos: 0, refused: 0 }, 'everything is sent'],
  [{ unsent: 2, photos: 0, refused: 0 }, '2 records waiting to be sent'],
  [{ unsent: 1, photos: 1, refused: 2 }, '1 record waiting to be sent; 1 photo waiting to be sent; 2 need a look'],
  // What the server would not take is not sent, and may be a photo.
  [{ unsent: 0, photos: 0, refused: 1 }, '1 needs a look'],
])('%o is said as: %s', (counts, words) => {
  expect(unsentWords(counts)).toBe(words)
})
