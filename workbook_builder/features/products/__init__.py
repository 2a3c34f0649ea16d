"""What is each product: liquid or dry, a pesticide or none, of which active ingredients, at which price?"""
