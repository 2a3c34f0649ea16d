"""Plant-back: every crop that is planted after a spray, this season's and the next, also after sprays of earlier seasons."""
