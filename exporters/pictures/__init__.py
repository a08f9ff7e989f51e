"""Pictures: plans drawn off screen with soft light, apart, cut, with sizes; steps and close-ups."""
