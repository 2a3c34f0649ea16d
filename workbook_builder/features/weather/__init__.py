"""May a pass be sprayed in this weather: go, wait or no?"""
