// UUIDv7 (RFC 9562, section 5.7): 48 bits of milliseconds, then random bits. Made on the phone, so a record
// has its name before any server has seen it. Never read for ordering, age or security.

let lastMs = 0;
let counter = 0;

/** A new UUIDv7. Ids made by one page in one millisecond still sort in the order they were made. */
export function newId(): string {
  const now = Date.now();
  if (now > lastMs) {
    lastMs = now;
    counter = Math.floor(Math.random() * 0x400);
  } else {
    counter += 1;
    if (counter > 0xfff) {
      lastMs += 1;
      counter = 0;
    }
  }
  const bytes = crypto.getRandomValues(new Uint8Array(8));
  bytes[0] = ((bytes[0] ?? 0) & 0x3f) | 0x80;
  const tail = Array.from(bytes, (b) => b.toString(16).padStart(2, '0')).join('');
  const ms = lastMs.toString(16).padStart(12, '0');
  const randA = counter.toString(16).padStart(3, '0');
  return `${ms.slice(0, 8)}-${ms.slice(8)}-7${randA}-${tail.slice(0, 4)}-${tail.slice(4)}`;
}
