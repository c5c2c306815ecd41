"""Setting a station up and finding what is wrong with it: findings are pure, effects stand in `machine`."""
