"""What readings say of gauge, stand, encoder and surface: bumps, standstill, jumps, lag; grades nothing."""
