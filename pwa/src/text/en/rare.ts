export const rare = {
  missing_title: 'Nothing lives here',
  missing_text: 'This address leads to no screen. Your records are safe.',
  insecure_title: 'This address cannot keep records',
  insecure_text:
    'The phone opened Underboard without a secure connection, so the browser will not let it store records, work offline or use the camera. Nothing has been lost.',
  insecure_fix:
    'Open it by its https address. On the computer that runs the server, "underboard certificate" makes or names it.',
  cleared:
    'The phone’s storage was emptied by the system. What had reached the server comes back once this phone reaches it, or has joined the plot again; what had not is lost. Keep Underboard on the home screen to prevent it.',
  cleared_read: 'I have read it',
} as const;
