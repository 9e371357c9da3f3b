// What a write is rejected with where nobody's turn is at fault: nothing of it is known to be kept, and it has to come again.
export class NotStored extends Error {}
