export const now = { title: 'Now' } as const;
