export const round = { title: 'Round' } as const;
